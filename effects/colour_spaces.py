"""Colour spaces: sRGB, CIE XYZ, CIELAB, OKLab. Every matrix and weight of the project stands here.

Arrays have the components on the last axis. Linear sRGB is relative to D65 white = 1, 1, 1 and may
be negative or above 1; XYZ has the same white at Y = 1.

References
----------
IEC 61966-2-1:1999, equations for the transfer function and RGB → XYZ in its four digits; the way
back is the inverse, which is what its amendment 1 (2003) prints with seven digits.
B. Ottosson, "A perceptual color space for image processing" (2020), matrices of 2021-01-25.
"""

from __future__ import annotations

import numpy as np


def _table(rows: list[list[float]]) -> np.ndarray:
    return _fixed(np.array(rows))


def _fixed(matrix: np.ndarray) -> np.ndarray:
    matrix.flags.writeable = False
    return matrix


#: Linear sRGB → XYZ: IEC 61966-2-1.
RGB_TO_XYZ = _table([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
XYZ_TO_RGB = _fixed(np.linalg.inv(RGB_TO_XYZ))
#: Luminance of linear r, g, b: the second row, which sums to 1.
LUMINANCE = RGB_TO_XYZ[1]
#: XYZ of D65 white, r = g = b = 1: 0.9505, 1, 1.089.
WHITE_XYZ = _fixed(RGB_TO_XYZ.sum(axis=1))

#: Linear sRGB → cone-like response of OKLab, and its cube root → L, a, b: Ottosson.
RGB_TO_LMS = _table(
    [
        [0.4122214708, 0.5363325363, 0.0514459929],
        [0.2119034982, 0.6806995451, 0.1073969566],
        [0.0883024619, 0.2817188376, 0.6299787005],
    ]
)
LMS_TO_LAB = _table(
    [
        [0.2104542553, 0.7936177850, -0.0040720468],
        [1.9779984951, -2.4285922050, 0.4505937099],
        [0.0259040371, 0.7827717662, -0.8086757660],
    ]
)
LMS_TO_RGB = _fixed(np.linalg.inv(RGB_TO_LMS))
LAB_TO_LMS = _fixed(np.linalg.inv(LMS_TO_LAB))
#: Between XYZ and the cone-like response, through the same two tables.
XYZ_TO_LMS = _fixed(RGB_TO_LMS @ XYZ_TO_RGB)
LMS_TO_XYZ = _fixed(RGB_TO_XYZ @ LMS_TO_RGB)


def decoded(value: np.ndarray) -> np.ndarray:
    """Linear light of sRGB-encoded values 0..1: IEC 61966-2-1."""
    return np.where(value <= 0.04045, value / 12.92, ((value + 0.055) / 1.055) ** 2.4)


def encoded(linear: np.ndarray) -> np.ndarray:
    """sRGB-encoded values of linear light 0..1: IEC 61966-2-1; what is negative becomes 0."""
    linear = np.maximum(linear, 0)
    return np.where(linear <= 0.0031308, linear * 12.92, 1.055 * linear ** (1 / 2.4) - 0.055)


def uv_1976(xyz: np.ndarray) -> np.ndarray:
    """CIE 1976 u', v' (..., 2) of XYZ (..., 3), which is not black: CIE 015:2018."""
    x, y, z = np.moveaxis(np.asarray(xyz), -1, 0)
    return np.stack([4 * x, 9 * y], axis=-1) / (x + 15 * y + 3 * z)[..., None]


def lab_of(xyz: np.ndarray, white: np.ndarray = WHITE_XYZ) -> np.ndarray:
    """CIE 1976 L*, a*, b* (..., 3) of XYZ (..., 3) against the white (3,): CIE 015:2018."""
    ratio = xyz / white
    edge = 6 / 29
    f = np.where(ratio > edge**3, np.cbrt(ratio), ratio / (3 * edge**2) + 4 / 29)
    return np.stack(
        [116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])],
        axis=-1,
    )


def to_oklab(rgb: np.ndarray) -> np.ndarray:
    """OKLab (..., 3) of linear sRGB (..., 3)."""
    return np.cbrt(np.asarray(rgb, float) @ RGB_TO_LMS.T) @ LMS_TO_LAB.T


def from_oklab(lab: np.ndarray) -> np.ndarray:
    """Linear sRGB (..., 3) of OKLab (..., 3); negative where it lies outside sRGB."""
    return (np.asarray(lab, float) @ LAB_TO_LMS.T) ** 3 @ LMS_TO_RGB.T


def oklch_to_oklab(lightness: float, chroma: float, hue_deg: float) -> np.ndarray:
    """OKLab (3,) of the polar form."""
    hue = np.deg2rad(hue_deg)
    return np.array([lightness, chroma * np.cos(hue), chroma * np.sin(hue)])
