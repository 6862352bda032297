"""Reduce flashing: the light on show follows what is wanted slowly.

WCAG 2.2 counts a general flash where relative luminance goes up by 0.10 and down again by as much,
or the other way round. Where no channel changes faster than 0.6 of full a second, such a pair
takes at least 1/3 s, so there are never more than three in a second. A low-pass before that limit
keeps fast alternations near their mean, so that saturated red does not come and go either.
This is about what the window shows; `evenfall check` tests what the house would show.
"""

from __future__ import annotations

import math

import numpy as np

#: The fastest change of any channel, as a share of full light [1/s]: 2 · 0.10 · 3 flashes a second.
RATE_PER_S = 0.6
#: Of the low-pass: a change is two thirds done after this [s].
TIME_CONSTANT_S = 0.7


def limited(shown: np.ndarray, wanted: np.ndarray, seconds: float) -> np.ndarray:
    """The light `seconds` later, on the way from what is shown to what is wanted; both (N, C)."""
    seconds = max(seconds, 0.0)
    share = -math.expm1(-seconds / TIME_CONSTANT_S)
    step = RATE_PER_S * seconds
    moved = shown + np.clip((wanted - shown) * share, -step, step)
    near = np.abs(wanted - moved) < 1 / 512  # less than half a code: it has arrived
    return np.where(near, wanted, moved)
