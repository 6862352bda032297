"""Bands with gaps travel along the zone."""

from __future__ import annotations

import numpy as np

from effects.bands import travelling
from effects.effect import Effect, Parameter, Settings
from effects.place import LayerPlace
from effects.shape import lap_s, travelled


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    step_m = settings["band"] + settings["gap"]
    gone_m = travelled(time_s, settings["speed"], colours * step_m)
    return travelling(place, gone_m, settings)


def change_per_s(settings: Settings, colours: int, place: LayerPlace) -> float:
    # An edge is at least a pixel wide; level and colour may change at the same place.
    return 2 * abs(settings["speed"]) / float(place.pitch_m.min())


CHASE = Effect(
    "chase",
    "bands with gaps between them travel along the zone, each in the next colour",
    field,
    (
        Parameter("band", "m", 0.02, 50, 0.6, "length of a band"),
        Parameter("gap", "m", 0, 50, 0.6, "dark length between two bands"),
        Parameter("speed", "m/s", -10, 10, 0.5, "along the zone; negative runs back"),
        Parameter("soft", "", 0, 1, 0.2, "part of a band over which each edge fades"),
    ),
    period_s=lambda settings, colours, place: lap_s(
        colours * (settings["band"] + settings["gap"]), settings["speed"]
    ),
    change_per_s=change_per_s,
)
