"""Slow soft patches of colour wander over the house."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.noise import patches_of
from effects.place import LayerPlace
from effects.shape import FULL, travelled

#: Colours of the palette gone through while a patch becomes another.
ONWARD = 0.25


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    noise = patches_of(place, time_s / settings["every"], settings["size"], seed)
    noise *= np.float32(settings["spread"] * colours)
    # Noise crowds about its middle; moving on slowly gives every colour its turn there.
    noise += travelled(time_s, ONWARD / settings["every"], colours)
    return noise, FULL


WANDER = Effect(
    "wander",
    "slow soft patches of the palette's colours wander over the house",
    field,
    (
        Parameter("size", "m", 0.3, 50, 2.5, "of a patch"),
        Parameter("every", "s", 1, 3600, 10.0, "how long until a patch has become another"),
        Parameter("spread", "", 0.05, 3, 1.4, "how much of the palette is seen at once"),
    ),
    period_s=lambda settings, colours, place: None,
    change_per_s=lambda settings, colours, place: (
        (1.5 * settings["spread"] * colours + ONWARD) / settings["every"]
    ),
)
