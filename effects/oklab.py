"""OKLab, in which palettes are interpolated.

Björn Ottosson, "A perceptual color space for image processing" (2020), matrices of 2021-01-25
for linear sRGB. Arrays have r, g, b or L, a, b on the last axis.
"""

from __future__ import annotations

import numpy as np

_RGB_TO_LMS = np.array(
    [
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]
)
_LMS_TO_LAB = np.array(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)
_LAB_TO_LMS = np.linalg.inv(_LMS_TO_LAB)
_LMS_TO_RGB = np.linalg.inv(_RGB_TO_LMS)


def to_oklab(rgb: np.ndarray) -> np.ndarray:
    """OKLab (..., 3) of linear sRGB (..., 3)."""
    return np.cbrt(np.asarray(rgb, float) @ _RGB_TO_LMS.T) @ _LMS_TO_LAB.T


def to_rgb(lab: np.ndarray) -> np.ndarray:
    """Linear sRGB (..., 3) of OKLab (..., 3); negative where it lies outside sRGB."""
    return (np.asarray(lab, float) @ _LAB_TO_LMS.T) ** 3 @ _LMS_TO_RGB.T


def oklch_to_oklab(lightness: float, chroma: float, hue_deg: float) -> np.ndarray:
    """OKLab (3,) of the polar form."""
    hue = np.deg2rad(hue_deg)
    return np.array([lightness, chroma * np.cos(hue), chroma * np.sin(hue)])
