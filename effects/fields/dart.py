"""One bright head with a tail runs along the zone."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.place import LayerPlace
from effects.shape import ONE, clamp, turns


def _cycle_s(settings: Settings, place: LayerPlace) -> float:
    return (place.length_m + settings["tail"]) / settings["speed"] + settings["rest"]


def _head_m(settings: Settings, place: LayerPlace) -> np.ndarray:
    """Over which the head lights up: an eighth of the tail, a pixel at least."""
    return np.maximum(place.pitch_m, np.float32(settings["tail"] / 8))


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    cycle_s = _cycle_s(settings, place)
    number, part = turns(time_s, cycle_s)
    behind = part * np.float32(cycle_s * settings["speed"]) - place.along_m
    level = clamp(ONE - behind / np.float32(settings["tail"]))
    level *= level
    level *= clamp(behind / _head_m(settings, place))
    return (number % colours).astype(np.float32), level


DART = Effect(
    "dart",
    "one bright head with a tail runs along the zone, each time in the next colour",
    field,
    (
        Parameter("speed", "m/s", 0.1, 40, 4.0, "of the head"),
        Parameter("tail", "m", 0.1, 50, 3.0, "length of the tail"),
        Parameter("rest", "s", 0, 600, 2.0, "pause until the next"),
    ),
    period_s=lambda settings, colours, place: colours * _cycle_s(settings, place),
    change_per_s=lambda settings, colours, place: (
        settings["speed"] * (2 / settings["tail"] + 1 / float(_head_m(settings, place).min()))
    ),
)
