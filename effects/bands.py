"""Bands and gaps along a line, antialiased: what chase and crossing share."""

from __future__ import annotations

import numpy as np

from effects.effect import Settings
from effects.place import LayerPlace
from effects.shape import HALF, ONE, ZERO
from layouts.kept_with import kept_with_first


def travelling(
    place: LayerPlace, moved_m: np.ndarray, settings: Settings
) -> tuple[np.ndarray, np.ndarray]:
    """Position and level (T, M) of bands that started at whole multiples of band + gap and have
    moved on by `moved_m` (T, 1).

    Settings `band`, `gap` [m] and `soft`. An edge is never narrower than the pixels' pitch, so
    that it glides from pixel to pixel; the colour changes in the middle of the gap.
    """
    band_m, step_m = settings["band"], settings["band"] + settings["gap"]
    off_steps, flat, steep, pixels, shift = kept_bands(place, band_m, step_m, settings["soft"])
    # In steps, whole at the middle of a band.
    off = off_steps - moved_m / np.float32(step_m)
    # In place where it can be: of one frame each new array takes as long as reckoning with it.
    number = off + HALF
    np.floor(number, out=number)
    off -= number
    away = np.abs(off)
    level = away * steep
    np.subtract(flat, level, out=level)
    np.maximum(level, ZERO, out=level)
    np.minimum(level, ONE, out=level)
    # Less than half a pixel from half way to the next band: on the way to its colour.
    away *= pixels
    away += shift
    np.maximum(away, ZERO, out=away)
    number += np.copysign(away, off, out=away)
    return number, level


@kept_with_first
def kept_bands(
    place: LayerPlace, band_m: float, step_m: float, soft: float
) -> tuple[np.ndarray, ...]:
    """What does not move, (M,) each: in steps from the middle of a band; level and its slope at an
    edge; pixels a step, and half a pixel less than half of that."""
    edge_m = np.maximum(place.pitch_m, np.float32(soft * band_m))
    pixels = np.maximum(np.float32(step_m) / place.pitch_m, np.float32(1))
    return (
        (place.along_m - np.float32(band_m / 2)) / np.float32(step_m),
        band_m / 2 / edge_m + HALF,
        np.float32(step_m) / edge_m,
        pixels,
        HALF - HALF * pixels,
    )
