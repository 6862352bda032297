"""An edge crosses the zone and leaves the next colour behind it."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.place import LayerPlace
from effects.shape import FULL, clamp, turns


def _cycle_s(settings: Settings, place: LayerPlace) -> float:
    return (place.length_m + settings["edge"]) / settings["speed"] + settings["hold"]


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    cycle_s = _cycle_s(settings, place)
    whole, part = turns(time_s, cycle_s)
    front_m = part * np.float32(cycle_s * settings["speed"])
    edge_m = np.maximum(place.pitch_m, np.float32(settings["edge"]))
    passed = clamp((front_m - place.along_m) / edge_m)
    passed += (whole % colours).astype(np.float32)
    return passed, FULL


REPAINT = Effect(
    "repaint",
    "an edge crosses the zone and leaves the next colour behind it",
    field,
    (
        Parameter("speed", "m/s", 0.05, 20, 2.0, "of the edge along the zone"),
        Parameter("edge", "m", 0.2, 50, 1.0, "width over which the colours meet"),
        Parameter("hold", "s", 0, 3600, 3.0, "pause before the next edge starts"),
    ),
    period_s=lambda settings, colours, place: (
        colours * _cycle_s(settings, place) if colours > 1 else 0.0
    ),
    change_per_s=lambda settings, colours, place: settings["speed"] / settings["edge"],
)
