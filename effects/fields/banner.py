"""Stripes at an angle over the whole house."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.place import LayerPlace
from effects.shape import FULL, lap_s, soft_part, stairs, travelled


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    width_m = settings["width"]
    stripe = place.towards(settings["angle"])
    stripe = stripe - travelled(time_s, settings["speed"], colours * width_m)
    stripe *= np.float32(1 / width_m)
    return stairs(stripe, soft_part(place.pitch_m, settings)), FULL


BANNER = Effect(
    "banner",
    "stripes in the palette's colours lie at an angle over the whole house",
    field,
    (
        Parameter("width", "m", 0.1, 50, 1.2, "of one stripe"),
        Parameter("angle", "deg", -180, 180, 30.0, "0 runs to the right, 90 up"),
        Parameter("speed", "m/s", -10, 10, 0.3, "across the stripes; 0 stands still"),
        Parameter("soft", "", 0, 1, 0.1, "part of a stripe that runs over into the next"),
    ),
    period_s=lambda settings, colours, place: lap_s(colours * settings["width"], settings["speed"]),
    change_per_s=lambda settings, colours, place: (
        abs(settings["speed"]) / settings["width"] / float(soft_part(place.pitch_m, settings).min())
    ),
)
