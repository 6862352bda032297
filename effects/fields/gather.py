"""Light fills the zone from both ends to the middle."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.place import LayerPlace
from effects.shape import clamp, smooth, turns


def _fill_s(settings: Settings, place: LayerPlace) -> float:
    return (place.length_m / 2 + settings["edge"]) / settings["speed"]


def cycle_s(settings: Settings, place: LayerPlace) -> float:
    return _fill_s(settings, place) + settings["hold"] + settings["release"]


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    number, front_m, left = travel(time_s, place, settings)
    to_end_m, edge_m = ends(place, settings)
    level = clamp((front_m - to_end_m) / edge_m)
    level *= left
    return (number % colours).astype(np.float32), level


def travel(time_s: np.ndarray, place: LayerPlace, settings: Settings) -> tuple[np.ndarray, ...]:
    """The number of the filling, how far in its fronts are [m] and how much is left, float32."""
    every_s = cycle_s(settings, place)
    number, part = turns(time_s, every_s)
    since_s = part * np.float32(every_s)
    left = smooth((np.float32(every_s) - since_s) / np.float32(settings["release"]))
    return number, since_s * np.float32(settings["speed"]), left


def ends(place: LayerPlace, settings: Settings) -> tuple[np.ndarray, np.ndarray]:
    """(M,) [m] each: how far it is to the nearer end, and how wide the front."""
    to_end_m = np.minimum(place.along_m, np.float32(place.length_m) - place.along_m)
    return to_end_m, np.maximum(place.pitch_m, np.float32(settings["edge"]))


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
    period_s=lambda settings, colours, place: colours * cycle_s(settings, place),
    change_per_s=lambda settings, colours, place: (
        settings["speed"] / settings["edge"] + 1.5 / settings["release"]
    ),
)
