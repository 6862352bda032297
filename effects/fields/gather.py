"""Light fills the zone from both ends to the middle."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.place import LayerPlace
from effects.shape import clamp, smooth, turns


def _fill_s(settings: Settings, place: LayerPlace) -> float:
    return (place.length_m / 2 + settings["edge"]) / settings["speed"]


def _cycle_s(settings: Settings, place: LayerPlace) -> float:
    return _fill_s(settings, place) + settings["hold"] + settings["release"]


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    cycle_s = _cycle_s(settings, place)
    number, part = turns(time_s, cycle_s)
    since_s = part * np.float32(cycle_s)
    to_end_m = np.minimum(place.along_m, np.float32(place.length_m) - place.along_m)
    edge_m = np.maximum(place.pitch_m, np.float32(settings["edge"]))
    level = clamp((since_s * np.float32(settings["speed"]) - to_end_m) / edge_m)
    left_s = np.float32(cycle_s) - since_s
    level *= smooth(left_s / np.float32(settings["release"]))
    return (number % colours).astype(np.float32), level


GATHER = Effect(
    "gather",
    "light fills the zone from both ends to the middle, stays and dies away",
    field,
    (
        Parameter("speed", "m/s", 0.02, 20, 1.0, "at which the light comes in"),
        Parameter("edge", "m", 0.1, 20, 0.5, "width of the soft front"),
        Parameter("hold", "s", 0, 600, 3.0, "how long it stays full"),
        Parameter("release", "s", 0.5, 600, 3.0, "how long it takes to die away"),
    ),
    period_s=lambda settings, colours, place: colours * _cycle_s(settings, place),
    change_per_s=lambda settings, colours, place: (
        settings["speed"] / settings["edge"] + 1.5 / settings["release"]
    ),
)
