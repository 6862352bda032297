"""Bands and gaps along a line, antialiased: what chase and weave share."""

from __future__ import annotations

import numpy as np

from effects.effect import Settings
from effects.shape import HALF, clamp


def travelling(
    along_m: np.ndarray, pitch_m: np.ndarray, settings: Settings
) -> tuple[np.ndarray, np.ndarray]:
    """Position and level of bands that start at whole multiples of band + gap.

    Settings `band`, `gap` [m] and `soft`. An edge is never narrower than the pixels' pitch, so
    that it glides from pixel to pixel; the colour changes in the middle of the gap.
    """
    band_m, step_m = settings["band"], settings["band"] + settings["gap"]
    edge_m = np.maximum(pitch_m, np.float32(settings["soft"] * band_m))
    x = along_m / np.float32(step_m)
    x -= np.float32(band_m / step_m / 2)  # whole at the middle of a band
    number = np.floor(x + HALF)
    off = x
    off -= number  # −½..½ of a step from the middle of the nearest band
    away = np.abs(off)
    level = clamp((np.float32(band_m / 2) - away * np.float32(step_m)) / edge_m + HALF)
    # Nearer to the next band than to this one by less than half a pixel: on the way to its colour.
    ramp = np.minimum(pitch_m / np.float32(step_m), np.float32(1))
    away -= HALF
    away /= ramp
    away += HALF
    np.maximum(away, np.float32(0), out=away)
    return number + np.copysign(away, off), level
