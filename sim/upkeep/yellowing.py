"""Plastic that yellows, as a filter of spectra.

    τ(λ) = exp(−a·(450 nm / λ)ⁿ)      n = 8: a shape of common use, without a source

a is the absorbance at 450 nm; it grows with thickness (Beer and Lambert). How yellow plastic is, is
told by ASTM E313's index of what is seen through it under D65: YI = 100·(1.2985·X − 1.1335·Z)/Y.
"""

from __future__ import annotations

import numpy as np

from effects.colour_spaces import WHITE_XYZ
from sim.colour import spectra

POWER, _AT_NM = 8.0, 450.0
#: ASTM E313, D65 and 2°.
_CX, _CZ = 1.2985, 1.1335


def transmittance(absorbance: float) -> np.ndarray:
    """τ (401,) at the wavelengths of `sim.colour.spectra`."""
    return np.exp(-absorbance * (_AT_NM / spectra.WAVELENGTH_NM) ** POWER)


def yellowness(xyz: np.ndarray) -> float:
    """ASTM E313 yellowness index of what is seen, white being that of D65 with Y = 100."""
    x, y, z = np.asarray(xyz, dtype=float)
    return float(100 * (_CX * x - _CZ * z) / y)


def index_of(absorbance: float) -> float:
    """Yellowness index of a clear sheet with this absorbance at 450 nm."""
    light = spectra.daylight()
    seen, white = spectra.xyz(light * transmittance(absorbance)), spectra.xyz(light)
    return yellowness(seen / white * WHITE_XYZ * 100)


def absorbance_of(index: float) -> float:
    """Absorbance at 450 nm of a clear sheet with this yellowness index; inverse of `index_of`."""
    from scipy.optimize import brentq

    if index <= 0:
        return 0.0
    return float(brentq(lambda a: index_of(a) - index, 0.0, 20.0, xtol=1e-9))


def chromaticity(xyz: np.ndarray) -> np.ndarray:
    """CIE 1976 u', v' (..., 2) of tristimulus values (..., 3)."""
    x, y, z = np.moveaxis(np.asarray(xyz, dtype=float), -1, 0)
    whole = x + 15 * y + 3 * z
    return np.stack([4 * x / whole, 9 * y / whole], axis=-1)
