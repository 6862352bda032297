"""Spectra of one channel: wavelengths, the standard observer, coloured dies and phosphor white.

Every spectrum is sampled at `WAVELENGTH_NM` (380-780 nm at 1 nm) and integrated as a plain sum.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np

from layouts.errors import EvenfallError

WAVELENGTH_NM = np.arange(380.0, 781.0)
WAVELENGTH_NM.flags.writeable = False

#: Luminous efficacy of 540 THz radiation [lm/W]; it defines the candela (SI brochure, 9th ed.).
KM_LM_PER_W = 683.0

#: CCT range that a phosphor white may be asked for [K].
CCT_RANGE_K = (1000.0, 20000.0)

_TABLES = Path(__file__).parent / "tables"
_PLANCK_C2_NM_K = 1.438776877e7  # h·c/k, CODATA 2018 (exact in the SI)


@cache
def observer() -> np.ndarray:
    """CIE 1931 2° colour-matching functions, (401, 3)."""
    return _table("observer.csv")


@cache
def _phosphors() -> np.ndarray:
    """CIE LED-B1 … LED-B5 from warm to cool, (5, 401)."""
    return np.ascontiguousarray(_table("phosphor.csv").T)


@cache
def daylight() -> np.ndarray:
    """CIE standard illuminant D65 (401,), 100 at 560 nm."""
    return _table("daylight.csv")[:, 0]


def _table(name: str) -> np.ndarray:
    lines = [line for line in (_TABLES / name).read_text().splitlines() if line[0].isdigit()]
    values = np.loadtxt(lines, delimiter=",")[:, 1:]
    values.flags.writeable = False
    return values


def xyz(spectrum: np.ndarray) -> np.ndarray:
    """Tristimulus values (…, 3) of spectra (…, 401); Y in lm when they are in W/nm."""
    return KM_LM_PER_W * np.asarray(spectrum) @ observer()


def xy(spectrum: np.ndarray) -> np.ndarray:
    """CIE 1931 chromaticity (…, 2) of spectra (…, 401)."""
    tristimulus = xyz(spectrum)
    return tristimulus[..., :2] / tristimulus.sum(axis=-1, keepdims=True)


def planck(temperature_k: float) -> np.ndarray:
    """Relative spectral radiance of a black body (401,), 1 at 560 nm; Planck's law."""
    wave = np.append(WAVELENGTH_NM, 560.0)
    radiance = wave**-5.0 / np.expm1(_PLANCK_C2_NM_K / (wave * temperature_k))
    return radiance[:-1] / radiance[-1]


@cache
def coloured(dominant_nm: float, fwhm_nm: float) -> np.ndarray:
    """Gaussian (401,), peak 1, whose dominant wavelength is the one given.

    The peak of a die lies above the dominant wavelength its data sheet states (red: by about
    4 nm), and colour rendering depends on it, so the peak is searched: the chromaticity has to
    lie on the line from equal-energy white to the spectral locus at `dominant_nm`.

    Raises EvenfallError where no peak within 380-780 nm does it.
    """
    white = np.array([1 / 3, 1 / 3])
    locus = np.array([np.interp(dominant_nm, WAVELENGTH_NM, column) for column in observer().T])
    ray = locus[:2] / locus.sum() - white

    def side(peak_nm: float) -> float:
        offset = xy(_gaussian(peak_nm, fwhm_nm)) - white
        return float(ray[0] * offset[1] - ray[1] * offset[0])

    low, high = dominant_nm - fwhm_nm, dominant_nm + fwhm_nm
    inside = WAVELENGTH_NM[0] < low and high < WAVELENGTH_NM[-1]
    if not inside or side(low) * side(high) >= 0.0:
        raise EvenfallError(
            f"no spectrum of {fwhm_nm:g} nm width has the dominant wavelength {dominant_nm:g} nm; "
            "give a dominant wavelength of 400-680 nm and the width of one die, 10-50 nm"
        )
    sign = np.sign(side(low))
    while high - low > 1e-4:
        middle = (low + high) / 2
        low, high = (middle, high) if side(middle) * sign > 0.0 else (low, middle)
    return _frozen(_gaussian((low + high) / 2, fwhm_nm))


def _gaussian(peak_nm: float, fwhm_nm: float) -> np.ndarray:
    return np.exp(-4.0 * np.log(2.0) * ((WAVELENGTH_NM - peak_nm) / fwhm_nm) ** 2)


@cache
def white(cct_k: float) -> np.ndarray:
    """Phosphor white (401,) of exactly this correlated colour temperature, 1 lm in W/nm.

    Between LED-B1 (2733 K) and LED-B5 (6598 K) the two neighbouring CIE illuminants are mixed.
    Being on the isotemperature line is linear in the light, so the share has a closed form;
    it runs nearly straight in reciprocal temperature. Beyond them the nearest illuminant is
    tilted by a ratio of two black-body spectra: a stated extrapolation, no published spectrum.

    Raises EvenfallError outside 1000-20000 K.
    """
    if not CCT_RANGE_K[0] <= cct_k <= CCT_RANGE_K[1]:
        raise EvenfallError(
            f"a white of {cct_k:g} K is outside 1000-20000 K; give its data sheet's CCT"
        )
    spectra = _phosphors() / xyz(_phosphors())[:, 1:2]
    cooler = _cooler_than(cct_k, spectra)
    if cooler.all() or not cooler.any():
        return _frozen(_tilted(spectra[0] if cooler.all() else spectra[-1], cct_k))
    above = int(np.argmax(cooler))
    warm, cool = spectra[above - 1], spectra[above]
    warm_side, cool_side = _off_isotemperature(np.stack([warm, cool]), cct_k)
    share = warm_side / (warm_side - cool_side)
    return _frozen((1.0 - share) * warm + share * cool)


def _tilted(spectrum: np.ndarray, cct_k: float) -> np.ndarray:
    """`spectrum` times planck(cct)/planck(t), 1 lm, with the t that puts it at `cct_k`."""
    low, high = 500.0, 100000.0
    while high - low > 1e-6 * low:
        middle = (low * high) ** 0.5
        tilted = spectrum * planck(cct_k) / planck(middle)
        low, high = (low, middle) if not _cooler_than(cct_k, tilted) else (middle, high)
    tilted = spectrum * planck(cct_k) / planck(low)
    return tilted / xyz(tilted)[1]


def _cooler_than(cct_k: float, spectra: np.ndarray) -> np.ndarray:
    """Whether spectra (…, 401) lie on the blue side of the isotemperature line of `cct_k`."""
    return _off_isotemperature(spectra, cct_k) < 0.0


def _off_isotemperature(spectra: np.ndarray, cct_k: float) -> np.ndarray:
    """Signed distance (…) from the isotemperature line, linear in the light.

    CCT is the nearest point of the Planckian locus in (u, 2/3 v') = CIE 1960 (u, v)
    (CIE 015:2018); its line is normal to the locus, and multiplying u and v by their common
    denominator makes the condition linear in X, Y, Z. Positive on the red side.
    """
    step = 1e-4 * cct_k
    at, warmer = _uv(planck(cct_k)), _uv(planck(cct_k - step))
    along = (warmer - at) / np.linalg.norm(warmer - at)
    x, y, z = np.moveaxis(xyz(spectra), -1, 0)
    return 4.0 * x * along[0] + 6.0 * y * along[1] - (x + 15.0 * y + 3.0 * z) * (at @ along)


def _uv(spectrum: np.ndarray) -> np.ndarray:
    x, y, z = xyz(spectrum)
    return np.array([4.0 * x, 6.0 * y]) / (x + 15.0 * y + 3.0 * z)


def _frozen(spectrum: np.ndarray) -> np.ndarray:
    spectrum.flags.writeable = False
    return spectrum
