"""The brightness of the whole zone rises and falls."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.place import LayerPlace
from effects.shape import ONE, smooth, turns

#: Part of a swell, about its darkest moment, in which the colour changes.
_CHANGE = 0.25


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    every_s, low = settings["every"], np.float32(settings["low"])
    _, part = turns(time_s, every_s)
    wave = np.sin(np.float32(np.pi) * part) ** 4
    number, since = turns(time_s + _CHANGE / 2 * every_s, every_s)
    colour = (number % colours).astype(np.float32) - ONE + smooth(since / np.float32(_CHANGE))
    return colour, low + (ONE - low) * wave


SWELL = Effect(
    "swell",
    "the brightness of the whole zone rises and falls, each time in the next colour",
    field,
    (
        Parameter("every", "s", 1, 3600, 8.0, "from one height to the next"),
        Parameter("low", "", 0, 1, 0.1, "level at the lowest"),
    ),
    period_s=lambda settings, colours, place: colours * settings["every"],
    change_per_s=lambda settings, colours, place: (4.1 + 1.5 / _CHANGE) / settings["every"],
)
