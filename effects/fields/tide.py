"""A wave of brightness runs across the house."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.place import LayerPlace
from effects.shape import ONE, lap_s, stairs, travelled

#: Part of a wave, about its trough, in which the colour changes.
_CHANGE = 0.3


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    length_m, low = settings["length"], np.float32(settings["low"])
    wave = place.towards(settings["angle"])
    wave = wave - travelled(time_s, settings["speed"], colours * length_m)
    wave *= np.float32(1 / length_m)  # whole at a trough
    crest = np.sin(np.float32(np.pi) * wave)
    crest *= crest
    position = stairs(wave + np.float32(_CHANGE / 2), _CHANGE)
    return position, low + (ONE - low) * crest


TIDE = Effect(
    "tide",
    "a wave of brightness runs across the house, each crest in the next colour",
    field,
    (
        Parameter("length", "m", 0.5, 200, 6.0, "from crest to crest"),
        Parameter("speed", "m/s", -10, 10, 0.8, "of the wave; negative runs back"),
        Parameter("angle", "deg", -180, 180, 0.0, "0 runs to the right, 90 up"),
        Parameter("low", "", 0, 1, 0.08, "level in the trough"),
    ),
    period_s=lambda settings, colours, place: lap_s(
        colours * settings["length"], settings["speed"]
    ),
    change_per_s=lambda settings, colours, place: (
        (np.pi + 1 / _CHANGE) * abs(settings["speed"]) / settings["length"]
    ),
)
