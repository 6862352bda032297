"""Pixels brighten and fade at random."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.noise import chance, hashed, share
from effects.place import LayerPlace
from effects.shape import HALF, hump
from layouts.kept_with import kept_with_first


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    key, pace, offset = kept(place, seed, settings["every"])
    phase = time_s * pace + offset
    turn = np.floor(phase)
    part = (phase - turn).astype(np.float32)
    drawn = hashed(key, turn.astype(np.int64))
    level = hump(part / np.float32(settings["share"]))
    level *= HALF + HALF * share(drawn)  # no two equally bright
    return (drawn % np.uint32(colours)).astype(np.float32), level


@kept_with_first
def kept(place: LayerPlace, seed: int, every_s: float) -> tuple[np.ndarray, ...]:
    """What a pixel keeps, (M,) each: its hash, turns a second and the part of one at time 0, both
    float64."""
    key = hashed(seed, place.identity)
    # Every pixel keeps its own pace, so the whole never falls into step.
    pace = (0.75 + 0.5 * share(key)).astype(np.float64) / every_s
    return key, pace, chance(key, -1).astype(np.float64)


TWINKLE = Effect(
    "twinkle",
    "pixels brighten and fade at random, each in a colour of the palette",
    field,
    (
        Parameter("every", "s", 1, 600, 8.0, "how often a pixel lights, on average"),
        Parameter("share", "", 0.02, 1, 0.5, "part of that time in which it is lit"),
    ),
    period_s=lambda settings, colours, place: None,
    change_per_s=lambda settings, colours, place: (
        3.08 * 1.25 / settings["every"] / settings["share"]
    ),
)
