"""Light of a kind's channels: absolute spectra, tristimulus values, the display's colour.

The rows of every result are the channels r, g, b, w, and c where the kind has a second white or
`channels` names it; a channel the kind lacks is zero. C is how many rows there are.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from effects.colour_spaces import XYZ_TO_RGB
from layouts.errors import EvenfallError, UnmixableKind
from layouts.records import CHANNELS, Channel, Kind, Material, channels_of
from sim.colour import spectra


def emission(kind: Kind, channels: Sequence[str] | None = None) -> np.ndarray:
    """Spectral flux (C, 401) [W/nm] of one pixel's channels at full duty.

    Raises UnmixableKind where a channel says nothing about its spectrum.
    """
    rows = np.zeros((len(channels or channels_of([kind])), len(spectra.WAVELENGTH_NM)))
    for channel in kind.channels:
        shape = _shape(kind, channel)
        rows[CHANNELS.index(channel.name)] = shape * channel.flux_lm / spectra.xyz(shape)[1]
    return rows


def emission_xyz_lm(kind: Kind, channels: Sequence[str] | None = None) -> np.ndarray:
    """Tristimulus values (C, 3) [lm] of one pixel's channels at full duty; Y is the flux."""
    return spectra.xyz(emission(kind, channels))


def emitted_rgb(
    kind: Kind, through: float | np.ndarray = 1.0, channels: Sequence[str] | None = None
) -> np.ndarray:
    """Linear sRGB (C, 3) [lm] of one pixel's channels at full duty, `through` plastic of τ (401,).

    Not clipped: a die is more saturated than the display, so some values are negative. The
    luminance is the flux.
    """
    return spectra.xyz(emission(kind, channels) * through) @ XYZ_TO_RGB.T


def reflected_rgb(
    kind: Kind,
    material: Material,
    through: float | np.ndarray = 1.0,
    channels: Sequence[str] | None = None,
) -> np.ndarray:
    """Linear sRGB (C, 3) [lm] of the channels' light after one reflection by the material."""
    thrown = emission(kind, channels) * through * reflectance(material)
    return spectra.xyz(thrown) @ XYZ_TO_RGB.T


def reflectance(material: Material) -> np.ndarray:
    """Spectral reflectance (401,) of a material, straight between its samples."""
    return np.interp(spectra.WAVELENGTH_NM, material.wavelength_nm, material.reflectance)


def _shape(kind: Kind, channel: Channel) -> np.ndarray:
    try:
        if channel.cct_k is not None:
            return spectra.white(channel.cct_k)
        if channel.dominant_nm is not None and channel.fwhm_nm is not None:
            return spectra.coloured(channel.dominant_nm, channel.fwhm_nm)
    except EvenfallError as error:
        what, _, do = str(error).partition("; ")
        raise UnmixableKind(
            kind.name, f"channel {channel.name}: {what}", do, channel.name
        ) from None
    raise UnmixableKind(
        kind.name,
        f"channel {channel.name}: no spectrum",
        "give `nm` and `fwhm_nm`, or `cct`",
        channel.name,
    )
