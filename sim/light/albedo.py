"""Reflectance of a material as linear sRGB under daylight, for the light that is not of pixels.

The light of pixels comes with its own spectra and arrives here as finished colour; sky, street and
windows are drawn by this simpler rule: reflectance × the equal-energy observer, scaled to white.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from effects.colour_spaces import WHITE_XYZ, XYZ_TO_RGB
from layouts.records import Material


def _observer(nm: np.ndarray) -> np.ndarray:
    """CIE 1931 x̄ ȳ z̄ as sums of Gaussians: Wyman et al., JCGT 2(2), 2013 [from memory]."""

    def lobe(mean: float, left: float, right: float) -> np.ndarray:
        t = (nm - mean) * np.where(nm < mean, left, right)
        return np.exp(-0.5 * t * t)

    return np.column_stack(
        [
            0.362 * lobe(442.0, 0.0624, 0.0374)
            + 1.056 * lobe(599.8, 0.0264, 0.0323)
            - 0.065 * lobe(501.1, 0.0490, 0.0382),
            0.821 * lobe(568.8, 0.0213, 0.0247) + 0.286 * lobe(530.9, 0.0613, 0.0322),
            1.217 * lobe(437.0, 0.0845, 0.0278) + 0.681 * lobe(459.0, 0.0385, 0.0725),
        ]
    )


def albedo_rgb(material: Material) -> np.ndarray:
    """(3,) linear sRGB of the material; a perfect diffuser gives 1, 1, 1."""
    return _rgb(tuple(material.wavelength_nm), tuple(material.reflectance))


@lru_cache(maxsize=256)
def _rgb(wavelength_nm: tuple[float, ...], reflectance: tuple[float, ...]) -> np.ndarray:
    nm = np.arange(380.0, 731.0, 5.0)
    share = np.interp(nm, wavelength_nm, reflectance)
    observer = _observer(nm)
    xyz = (observer * share[:, None]).sum(axis=0) / observer.sum(axis=0)
    found = np.clip(XYZ_TO_RGB @ (xyz * WHITE_XYZ), 0.002, None)
    found.flags.writeable = False  # it is kept and handed out again
    return found
