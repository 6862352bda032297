"""From luminance to the display: exposure, shoulder, gamut, sRGB.

Exposure is fixed while a scheme plays. An exposure value EV means, as on a camera at ISO 100 with
the meter constant K = 12.5, that a mean luminance of 2^EV · 0.125 cd/m² is shown as 18 % grey
[common practice, no source].
"""

from __future__ import annotations

import numpy as np

from effects.colour_spaces import decoded, encoded

GREY = 0.18
KNEE = 0.42  # up to here the display is proportional to luminance
LUT_SIZE = 8192


def scale_of(exposure_ev: float) -> float:
    """Display linear value per cd/m²."""
    return GREY / (0.125 * 2.0**exposure_ev)


def ev_of(luminance_cd_m2: float) -> float:
    """The EV that shows a luminance as 18 % grey."""
    return float(np.log2(max(luminance_cd_m2, 1e-6) / 0.125))


def grey_code(luminance_cd_m2: np.ndarray, exposure_ev: float) -> np.ndarray:
    """uint8 sRGB code of a grey of that luminance [cd/m²], as the pictures show it."""
    value = np.asarray(luminance_cd_m2, float) * scale_of(exposure_ev)
    over = np.maximum(value - KNEE, 0.0) / (1.0 - KNEE)
    shown = np.where(value > KNEE, KNEE + (1.0 - KNEE) * over / (1.0 + over), value)
    return np.rint(255.0 * srgb_encode(shown)).astype(np.uint8)


def srgb_encode(linear: np.ndarray) -> np.ndarray:
    """Linear 0..1 -> sRGB 0..1, IEC 61966-2-1."""
    return encoded(np.clip(linear, 0, 1))


def srgb_decode(shown: np.ndarray) -> np.ndarray:
    """sRGB 0..1 -> linear 0..1, IEC 61966-2-1."""
    return decoded(np.clip(shown, 0, 1))


def code_table() -> np.ndarray:
    """(LUT_SIZE + 1,) float32: linear 0..1 in even steps -> sRGB 0..255."""
    return (255 * srgb_encode(np.linspace(0, 1, LUT_SIZE + 1))).astype(np.float32)


def dither_tile() -> np.ndarray:
    """(64, 64) float32 0..1: breaks the bands that 8 bits leave in a dark sky.

    Interleaved gradient pattern (Jimenez 2014, from memory); fixed, so frames repeat exactly.
    """
    y, x = np.mgrid[0:64, 0:64]
    return np.mod(52.9829189 * np.mod(0.06711056 * x + 0.00583715 * y, 1), 1).astype(np.float32)
