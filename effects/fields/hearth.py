"""A bed of fire."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.noise import patches_of
from effects.place import LayerPlace
from effects.shape import ONE, clamp

#: The slower of two noises: its pace, and how much wider its patches are.
SLOW, WIDE = 0.4, 2.5


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    phase, size_m = time_s * settings["pace"], settings["size"]
    glow = patches_of(place, phase * SLOW, size_m * WIDE, seed)
    glow += patches_of(place, phase, size_m, seed + 1)
    return burning(glow, colours)


def burning(glow: np.ndarray, colours: int) -> tuple[np.ndarray, np.ndarray]:
    """Position and level of two noises added."""
    # Two noises added crowd about 1; spread them over the palette.
    heat = clamp((glow - np.float32(0.45)) * np.float32(1 / 1.1))
    return (ONE - heat) * np.float32(colours - 1), np.float32(0.25) + np.float32(0.75) * heat


HEARTH = Effect(
    "hearth",
    "a bed of fire: glowing patches that flare and die down",
    field,
    (
        Parameter("size", "m", 0.05, 20, 0.35, "of a tongue of fire"),
        Parameter("pace", "/s", 0.1, 4, 1.5, "how often it changes"),
    ),
    period_s=lambda settings, colours, place: None,
    change_per_s=lambda settings, colours, place: (
        1.5 * 1.4 / 1.1 * (colours - 0.25) * settings["pace"]
    ),
)
