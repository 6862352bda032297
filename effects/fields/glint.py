"""Rare short flashes of single pixels."""

from __future__ import annotations

import numpy as np

from effects.effect import Effect, Parameter, Settings
from effects.noise import chance, hashed, share
from effects.place import LayerPlace
from effects.shape import ONE, clamp, smooth
from layouts.kept_with import kept_with_first

#: Part of a flash in which it rises; the rest is its decay.
RISE = 0.2


def field(
    time_s: np.ndarray, place: LayerPlace, settings: Settings, colours: int, seed: int
) -> tuple[np.ndarray, np.ndarray]:
    key, per_s, offset, length = kept(place, seed, settings["rate"], settings["length"])
    phase = time_s * per_s + offset
    slot = np.floor(phase)
    phase -= slot
    drawn = hashed(key, slot.astype(np.int64))
    start = share(drawn) * (ONE - length)
    since = clamp((phase.astype(np.float32) - start) / length)
    level = smooth(since * np.float32(1 / RISE)) * (ONE - since) ** 2
    return (drawn % np.uint32(colours)).astype(np.float32), level


@kept_with_first
def kept(place: LayerPlace, seed: int, rate: float, length_s: float) -> tuple[np.ndarray, ...]:
    """What a pixel keeps, (M,) each: its hash, slots a second and the part of one at time 0, both
    float64, and how long a flash is in slots."""
    key = hashed(seed, place.identity)
    # One flash falls somewhere into every slot of a pixel; slots differ from pixel to pixel.
    per_s = rate / 60 * (0.8 + 0.4 * share(key).astype(np.float64))
    offset = chance(key, -1).astype(np.float64)
    return key, per_s, offset, (length_s * per_s).astype(np.float32)


GLINT = Effect(
    "glint",
    "rare short flashes of single pixels; best laid over something calm",
    field,
    (
        Parameter("rate", "/min", 0.05, 20, 2.0, "flashes of one pixel"),
        Parameter("length", "s", 0.2, 2, 0.6, "of one flash"),
    ),
    period_s=lambda settings, colours, place: None,
    change_per_s=lambda settings, colours, place: 1.5 / RISE / settings["length"],
)
