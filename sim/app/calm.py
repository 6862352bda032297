"""Reduce flashing: the light on show may change only so fast.

WCAG 2.2 counts a flash where relative luminance goes up by 0.10 and down again by as much (or the
other way round). Where no channel changes faster than 0.6 of full a second, such a pair takes at
least 1/3 s, so there are never more than three in a second.
"""

from __future__ import annotations

import numpy as np

#: The fastest change of any channel, as a share of full light [1/s]: 2 · 0.10 · 3 flashes a second.
RATE_PER_S = 0.6


def limited(shown: np.ndarray, wanted: np.ndarray, seconds: float) -> np.ndarray:
    """The light after `seconds` on the way from what is shown to what is wanted, both (N, 4)."""
    step = RATE_PER_S * max(seconds, 0.0)
    return shown + np.clip(wanted - shown, -step, step)
