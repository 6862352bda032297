"""Circles run out from a point of the house."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.place import LayerPlace
from effects.shape import FULL, lap_s, soft_part, stairs, travelled
from layouts.kept_with import kept_with_first


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    width_m, away = settings["width"], away_m(place, settings["across"], settings["up"])
    ring = away - travelled(time_s, settings["speed"], colours * width_m)
    ring *= np.float32(1 / width_m)
    return stairs(ring, soft_part(place.pitch_m, settings)), FULL


@kept_with_first
def away_m(place: LayerPlace, across: float, up: float) -> np.ndarray:
    """(M,) float32 [m] how far each pixel is from the point."""
    left, bottom, right, top = place.box_m
    x = place.xy_m[:, 0] - np.float32(left + across * (right - left))
    y = place.xy_m[:, 1] - np.float32(bottom + up * (top - bottom))
    return np.hypot(x, y)


RINGS = Effect(
    "rings",
    "circles in the palette's colours run out from a point of the house",
    field,
    (
        Parameter("width", "m", 0.1, 50, 1.5, "of one colour's ring"),
        Parameter("speed", "m/s", -10, 10, 0.6, "outwards; negative runs inwards"),
        Parameter("across", "", -1, 2, 0.5, "the point: 0 the house's left, 1 its right"),
        Parameter("up", "", -1, 2, 0.5, "the point: 0 the lowest light, 1 the highest"),
        Parameter("soft", "", 0, 1, 0.4, "part of a ring that runs over into the next"),
    ),
    period_s=lambda settings, colours, place: lap_s(colours * settings["width"], settings["speed"]),
    change_per_s=lambda settings, colours, place: (
        abs(settings["speed"]) / settings["width"] / float(soft_part(place.pitch_m, settings).min())
    ),
)
