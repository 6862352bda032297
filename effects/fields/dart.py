"""One bright head with a tail runs along the zone."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.place import LayerPlace
from effects.shape import ONE, clamp, turns


def cycle_s(settings: Settings, place: LayerPlace) -> float:
    return (place.length_m + settings["tail"]) / settings["speed"] + settings["rest"]


def head_m(settings: Settings, place: LayerPlace) -> np.ndarray:
    """Over which the head lights up: an eighth of the tail, a pixel at least."""
    return np.maximum(place.pitch_m, np.float32(settings["tail"] / 8))


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    number, head_at_m = travel(time_s, place, settings)
    behind = head_at_m - place.along_m
    level = clamp(ONE - behind / np.float32(settings["tail"]))
    level *= level
    level *= clamp(behind / head_m(settings, place))
    return (number % colours).astype(np.float32), level


def travel(
    time_s: np.ndarray, place: LayerPlace, settings: Settings
) -> tuple[np.ndarray, np.ndarray]:
    """The number of the head on its way, and where along the zone it is [m] float32."""
    every_s = cycle_s(settings, place)
    number, part = turns(time_s, every_s)
    return number, part * np.float32(every_s * settings["speed"])


DART = Effect(
    "dart",
    "one bright head with a tail runs along the zone, each time in the next colour",
    field,
    (
        Parameter("speed", "m/s", 0.1, 40, 4.0, "of the head"),
        Parameter("tail", "m", 0.1, 50, 3.0, "length of the tail"),
        Parameter("rest", "s", 0, 600, 2.0, "pause until the next"),
    ),
    period_s=lambda settings, colours, place: colours * cycle_s(settings, place),
    change_per_s=lambda settings, colours, place: (
        settings["speed"] * (2 / settings["tail"] + 1 / float(head_m(settings, place).min()))
    ),
)
