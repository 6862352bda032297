"""Where a colour lies beside the Planckian locus, without any library.

Nearest point of the locus in CIE 1960 (u, v), as CIE 015:2018 defines correlated colour
temperature. It serves to tell whites from colours quickly over whole frames; the figures that
are reported come from `sim.colour.rendition`.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from sim.colour import spectra

_STEP_MIRED = 2.0
_COOLEST_MIRED, _WARMEST_MIRED = 40.0, 1100.0  # 25000 K and 910 K


@cache
def _locus() -> tuple[np.ndarray, np.ndarray]:
    """Reciprocal temperatures [1/MK] (P,) and the locus (P, 2) there."""
    mired = np.arange(_COOLEST_MIRED, _WARMEST_MIRED, _STEP_MIRED)
    light = np.stack([spectra.planck(1e6 / value) for value in mired])
    return mired, uv(spectra.xyz(light))


def uv(xyz: np.ndarray) -> np.ndarray:
    """CIE 1960 (u, v) (…, 2) of XYZ (…, 3)."""
    x, y, z = np.moveaxis(np.asarray(xyz, float), -1, 0)
    return np.stack([4.0 * x, 6.0 * y], axis=-1) / (x + 15.0 * y + 3.0 * z)[..., None]


def cct_duv(xyz: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """CCT [K] (…) and Duv (…) of XYZ (…, 3); Duv is positive on the green side.

    The locus is a chain of straight pieces 2 mired apart: within 0.3 % of Ohno (2013) in CCT and
    5e-5 in Duv from 1500 to 20000 K.
    """
    mired, locus = _locus()
    point = uv(xyz)[..., None, :]  # (…, 1, 2)
    start, piece = locus[:-1], np.diff(locus, axis=0)
    share = ((point - start) * piece).sum(-1) / (piece**2).sum(-1)
    share = np.clip(share, 0.0, 1.0)
    away = point - (start + share[..., None] * piece)
    nearest = (away**2).sum(-1).argmin(-1)[..., None]
    along = np.take_along_axis(share, nearest, -1)[..., 0]
    away = np.take_along_axis(away, nearest[..., None], -2)[..., 0, :]
    cct_k = 1e6 / (mired[nearest[..., 0]] + along * _STEP_MIRED)
    return cct_k, np.copysign(np.hypot(away[..., 0], away[..., 1]), away[..., 1])
