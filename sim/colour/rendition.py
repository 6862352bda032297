"""How colours look under a light: rendering indices, efficacy, shifts of materials.

Everything here is computed by colour-science, which is imported inside the functions: it costs
most of a second, and only these figures need it.
"""

from __future__ import annotations

import warnings
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, replace
from itertools import product
from types import ModuleType
from typing import Any

import numpy as np

from effects.colour_spaces import WHITE_XYZ, XYZ_TO_RGB
from layouts.records import Channel, Kind, Material
from sim.colour import spectra
from sim.colour.emitters import emission, reflectance

#: Surround of CAM02-UCS: the adapting luminance [cd/m²] and background of CIE 224:2017 with a
#: dim surround, as it is at night [common practice, no source].
ADAPTING_CD_M2, BACKGROUND_Y = 100.0, 20.0


@dataclass(frozen=True)
class Rendition:
    """What one light does to white and to colours."""

    lumens: float
    cct_k: float  # Ohno 2013
    duv: float  # positive on the green side
    ra: float  # CIE 13.3-1995 general colour rendering index
    rf: float  # CIE 224:2017 colour fidelity index
    rg: float  # ANSI/IES TM-30-18 gamut index
    lm_per_w: float  # luminous efficacy of the radiation, not of the part


@dataclass(frozen=True)
class Shift:
    """How a material looks beside the same material under the reference of the same CCT.

    CAM02-UCS (Luo, Cui, Li 2006): `delta_e` is the distance, the rest its components.
    """

    delta_e: float
    lighter: float  # J'
    redder: float  # a'; negative: greener
    yellower: float  # b'; negative: bluer
    looks_rgb: tuple[float, ...] = ()  # linear sRGB, to an eye adapted to the light
    should_rgb: tuple[float, ...] = ()  # the same under the reference

    @property
    def word(self) -> str:
        """The direction of the shift, by its largest part."""
        parts = {
            ("lighter", "darker"): self.lighter,
            ("redder", "greener"): self.redder,
            ("yellower", "bluer"): self.yellower,
        }
        (up, down), size = max(parts.items(), key=lambda part: abs(part[1]))
        return up if size > 0 else down


def mixed_spectrum(kind: Kind, duty: np.ndarray) -> np.ndarray:
    """Spectral flux (401,) [W/nm] of one pixel at the duty (C,) of its channels."""
    return np.asarray(duty) @ emission(kind)


def rendition_of(spectrum: np.ndarray) -> Rendition:
    """The figures of a light given as spectral flux (401,) [W/nm] on `WAVELENGTH_NM`."""
    with _library() as colour:
        light = _distribution(colour, spectrum)
        cct_k, duv = _cct_duv(colour, spectrum)
        ra = colour.colour_rendering_index(light)
        tm30 = colour.colour_fidelity_index(light, method="ANSI/IES TM-30-18", additional_data=True)
    lumens = float(spectra.xyz(spectrum)[1])
    return Rendition(
        lumens=lumens,
        cct_k=cct_k,
        duv=duv,
        ra=float(ra),
        rf=float(tm30.R_f),
        rg=float(tm30.R_g),
        lm_per_w=lumens / float(spectrum.sum()),
    )


def ra_range(kind: Kind, duty: np.ndarray) -> tuple[float, float]:
    """Lowest and highest Ra of the white at duty (C,) over the wavelength bins of the kind.

    Each coloured die is taken at the ends and the middle of its bin, and r, g, b are mixed
    again to the same chromaticity beside the same white; a mixture of narrow bands is that
    sensitive. Where the kind states no bins both are the one Ra.
    """
    wanted = spectra.xyz(mixed_spectrum(kind, duty))
    bins = kind.dominant_bins_nm or {}
    places = [
        sorted({*bins[channel.name], channel.dominant_nm})
        if channel.name in bins and channel.dominant_nm
        else [channel.dominant_nm]
        for channel in kind.channels
    ]
    found = []
    with _library() as colour:
        for dominants in product(*places):
            light = emission(replace(kind, channels=_moved(kind.channels, dominants)))
            rest = wanted - spectra.xyz(duty[3:] @ light[3:])
            rgb = np.linalg.solve(spectra.xyz(light[:3]).T, rest)
            if (rgb >= -1e-9).all():  # a bin that cannot mix this white at all tells nothing
                light = _distribution(colour, rgb @ light[:3] + duty[3:] @ light[3:])
                found.append(float(colour.colour_rendering_index(light)))
    return min(found), max(found)


def material_shifts(spectrum: np.ndarray, materials: Mapping[str, Material]) -> dict[str, Shift]:
    """How each material shifts under the light (401,) against the reference of the same CCT.

    The reference is that of CIE 224:2017: a black body to 4000 K, daylight from 5000 K, a
    blend between.
    """
    if not materials:
        return {}
    reflectances = np.stack([reflectance(each) for each in materials.values()])
    with _library() as colour:
        cct_k, _ = _cct_duv(colour, spectrum)
        shape = colour.SpectralShape(380, 780, 1)
        reference = colour.quality.cfi2017.sd_reference_illuminant(cct_k, shape).values
        steps = _cam02ucs(colour, spectrum, reflectances) - _cam02ucs(
            colour, reference, reflectances
        )
        looks = _adapted_rgb(colour, spectrum, reflectances)
        should = _adapted_rgb(colour, reference, reflectances)
    return {
        name: Shift(
            delta_e=float(np.linalg.norm(step)),
            lighter=float(step[0]),
            redder=float(step[1]),
            yellower=float(step[2]),
            looks_rgb=tuple(seen.tolist()),
            should_rgb=tuple(wanted.tolist()),
        )
        for name, step, seen, wanted in zip(materials, steps, looks, should, strict=True)
    }


def light_shift(spectrum: np.ndarray, wanted: np.ndarray) -> float:
    """CAM02-UCS distance of a white under `spectrum` from it under `wanted`, both (401,) [W/nm].

    To an eye adapted to `wanted`, at equal luminance: colour alone, not brightness.
    """
    found, white = spectra.xyz(spectrum), spectra.xyz(wanted)
    both = np.stack([found / found[1], white / white[1]])
    with _library() as colour:
        one, other = _ucs(colour, 100.0 * both, 100.0 * white / white[1])
    return float(np.linalg.norm(one - other))


def _cam02ucs(colour: Any, light: np.ndarray, reflectances: np.ndarray) -> np.ndarray:
    """CAM02-UCS J'a'b' (M, 3) of reflectances (M, 401) under a light, adapted to it."""
    white = spectra.xyz(light)
    seen = 100.0 * spectra.xyz(light * reflectances) / white[1]
    return _ucs(colour, seen, 100.0 * white / white[1])


def _ucs(colour: Any, xyz: np.ndarray, white: np.ndarray) -> np.ndarray:
    """CAM02-UCS J'a'b' (M, 3) of XYZ (M, 3) to an eye adapted to `white`, whose Y is 100."""
    appearance = colour.XYZ_to_CIECAM02(
        xyz,
        white,
        ADAPTING_CD_M2,
        BACKGROUND_Y,
        colour.VIEWING_CONDITIONS_CIECAM02["Dim"],
    )
    correlates = np.stack([appearance.J, appearance.M, appearance.h], axis=-1)
    return np.asarray(colour.JMh_CIECAM02_to_CAM02UCS(correlates))


def _adapted_rgb(colour: Any, light: np.ndarray, reflectances: np.ndarray) -> np.ndarray:
    """Linear sRGB (M, 3) of reflectances to an eye fully adapted to the light (CAT02)."""
    white = spectra.xyz(light)
    seen = spectra.xyz(light * reflectances) / white[1]
    adapted = colour.chromatic_adaptation(
        seen, white / white[1], WHITE_XYZ, method="Von Kries", transform="CAT02"
    )
    return np.asarray(adapted) @ XYZ_TO_RGB.T


def _cct_duv(colour: Any, spectrum: np.ndarray) -> tuple[float, float]:
    uv = colour.UCS_to_uv(colour.XYZ_to_UCS(spectra.xyz(spectrum)))
    cct_k, duv = colour.uv_to_CCT(uv, method="Ohno 2013")
    return float(cct_k), float(duv)


def _moved(
    channels: tuple[Channel, ...], dominants: tuple[float | None, ...]
) -> tuple[Channel, ...]:
    return tuple(
        replace(channel, dominant_nm=None if nm is None else float(nm))
        for channel, nm in zip(channels, dominants, strict=True)
    )


def _distribution(colour: Any, spectrum: np.ndarray) -> Any:
    return colour.SpectralDistribution(spectrum, spectra.WAVELENGTH_NM)


@contextmanager
def _library() -> Iterator[ModuleType]:
    """colour-science, without its remarks on what it aligns and which optional parts it lacks."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

        yield colour
