"""An edge crosses the zone and leaves the next colour behind it."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.place import LayerPlace
from effects.shape import FULL, clamp, turns


def cycle_s(settings: Settings, place: LayerPlace) -> float:
    return (place.length_m + settings["edge"]) / settings["speed"] + settings["hold"]


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    whole, front_m = travel(time_s, place, settings, colours)
    passed = clamp((front_m - place.along_m) / edge_m(place, settings))
    passed += whole
    return passed, FULL


def travel(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int
) -> tuple[np.ndarray, np.ndarray]:
    """The colour before the edge, and where along the zone it is [m], both float32."""
    every_s = cycle_s(settings, place)
    whole, part = turns(time_s, every_s)
    return (whole % colours).astype(np.float32), part * np.float32(every_s * settings["speed"])


def edge_m(place: LayerPlace, settings: Settings) -> np.ndarray:
    """(M,) [m] how wide the edge is: a pixel at least."""
    return np.maximum(place.pitch_m, np.float32(settings["edge"]))


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
        colours * cycle_s(settings, place) if colours > 1 else 0.0
    ),
    change_per_s=lambda settings, colours, place: settings["speed"] / settings["edge"],
)
