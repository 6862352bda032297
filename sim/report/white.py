"""The white a scheme shows, and how good each kind is at it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from effects import Show, asked
from effects.colour_spaces import RGB_TO_XYZ, XYZ_TO_RGB
from layouts.records import House, Kind, Material, channels_of
from sim.colour import (
    Mixer,
    Rendition,
    Shift,
    cct_duv,
    codes,
    duty,
    emission_xyz_lm,
    light_shift,
    material_shifts,
    mixed_spectrum,
    ra_range,
    rendition_of,
)
from sim.colour.spectra import planck, xyz

#: A colour this near to the Planckian locus, at a CCT in this range, is called white. CIE
#: 13.3-1995 lets Ra speak of a light within 0.0054 of its reference [from memory]; the warmest
#: white that data sheets offer is 2400 K, what is redder is amber.
WHITE_DUV = 0.0054
WHITE_CCT_K = (2200.0, 10000.0)
#: Less white than this share of the light asked, and the scheme is said to have none.
LEAST_SHARE = 0.15
#: What is measured instead.
STAND_IN_CCT_K = 3000.0
#: Colours looked at; a scheme repeats itself in place and time.
_SAMPLE = 20_000
#: Pixels of all frames that are asked for to pick them from; bounds the memory.
_FRAME_PIXELS = 2_000_000


@dataclass(frozen=True)
class AskedWhite:
    """A white as it is asked of every kind."""

    rgb: tuple[float, ...]  # linear sRGB, at the level the scheme asks it
    cct_k: float
    share: float  # of the light the scheme asks for; 0: the scheme has none, this stands in


@dataclass(frozen=True)
class WhiteQuality:
    """What one kind makes of a white: all figures are of the codes that go down the wire.

    Dithered, codes alternate and their mean is the duty; a white too dim for any code is measured
    on its duty.
    """

    duty: tuple[float, ...]  # of the channels, r, g, b, w first: before rounding
    codes: tuple[int, ...]  # what it is rounded to
    delta_e: float  # CAM02-UCS, of the white shown beside the white mixed before rounding
    white_die: float  # share of the lumens that white dies give
    rendition: Rendition
    ra_range: tuple[float, float]  # over the wavelength bins of the data sheet
    shifts: Mapping[str, Shift]  # by material of the house


def asked_white(show: Show, times_s: np.ndarray, brightness: float) -> AskedWhite:
    """The mean of the whites a scheme asks for at `times_s` (T,), weighted by their light.

    Where it asks for none, or takes raw codes, a black body of 3000 K stands in. A scheme turned
    off (brightness 0) is measured at full.
    """
    brightness = brightness or 1.0
    none = white_stand_in(brightness)
    if show.scheme.colour == "raw":
        return none
    frames = max(1, _FRAME_PIXELS // show.pixels)
    times_s = times_s[:: max(1, len(times_s) // frames)]
    colours = asked(show, times_s).reshape(-1, 3)
    colours = colours[:: max(1, len(colours) // _SAMPLE)].astype(float)
    light = colours @ RGB_TO_XYZ.T
    light = light[light[:, 1] > 1e-4]
    if not len(light):
        return none
    cct_k, duv = cct_duv(light)
    is_white = (np.abs(duv) < WHITE_DUV) & (cct_k > WHITE_CCT_K[0]) & (cct_k < WHITE_CCT_K[1])
    share = float(light[is_white, 1].sum() / light[:, 1].sum())
    if share < LEAST_SHARE:
        return none
    white = light[is_white]
    # The mean weighted by light keeps the level at which most of the white is shown.
    mean = (white * white[:, 1:2]).sum(axis=0) / white[:, 1].sum()
    rgb = brightness * XYZ_TO_RGB @ mean
    return AskedWhite(tuple(rgb.tolist()), float(cct_duv(mean)[0]), share)


def white_stand_in(brightness: float) -> AskedWhite:
    """The white of a black body of 3000 K at `brightness`, where nobody asks for one."""
    stand_in = xyz(planck(STAND_IN_CCT_K))
    rgb = brightness * XYZ_TO_RGB @ (stand_in / stand_in[1])
    return AskedWhite(tuple(rgb.tolist()), STAND_IN_CCT_K, 0.0)


def white_quality(
    kind: Kind, mixer: Mixer, white: AskedWhite, house: House, dither: bool = False
) -> WhiteQuality:
    """How `kind` shows `white`, at full voltage; `mixer` belongs to a house with runs of it."""
    pixels = np.zeros((1, len(mixer.kind), 3))
    pixels[:] = white.rgb
    lit = int(np.argmax(mixer.kind == mixer.kinds.index(kind)))
    wide = len(channels_of([kind]))
    duties = duty(mixer, pixels)[0, lit, :wide]
    coded = codes(mixer, pixels)[0, lit, :wide]
    shown = duties if dither or not coded.any() else coded / 255.0
    spectrum = mixed_spectrum(kind, shown)
    lumens = shown * emission_xyz_lm(kind)[:, 1]
    return WhiteQuality(
        duty=tuple(duties.tolist()),
        codes=tuple(coded.tolist()),
        delta_e=light_shift(spectrum, mixed_spectrum(kind, duties)),
        white_die=float(lumens[3:].sum() / lumens.sum()),
        rendition=rendition_of(spectrum),
        ra_range=ra_range(kind, shown),
        shifts=material_shifts(spectrum, house_materials(house)),
    )


def house_materials(house: House) -> dict[str, Material]:
    """The materials light falls on, in painting order; glass shows what is behind it.

    Of what a photograph shows no spectrum is known, so it is left out.
    """
    found = {surface.material.name: surface.material for surface in house.drawing.surfaces}
    return {
        name: each
        for name, each in found.items()
        if not each.texture.startswith(("glass", "photo"))
    }
