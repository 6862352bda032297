"""Colour of the light: spectra of channels and materials, mixing, the white channel, rendition."""

from sim.colour.emitters import emission_xyz_lm, emitted_rgb, reflected_rgb
from sim.colour.mixing import (
    COLOUR_USES,
    WHITE_USES,
    Gamut,
    Mixer,
    codes,
    duty,
    gamut_report,
    mixer,
)
from sim.colour.planck import cct_duv
from sim.colour.rendition import (
    Rendition,
    Shift,
    light_shift,
    material_shifts,
    mixed_spectrum,
    ra_range,
    rendition_of,
)

__all__ = [
    "COLOUR_USES",
    "WHITE_USES",
    "Gamut",
    "Mixer",
    "Rendition",
    "Shift",
    "cct_duv",
    "codes",
    "duty",
    "emission_xyz_lm",
    "emitted_rgb",
    "gamut_report",
    "light_shift",
    "material_shifts",
    "mixed_spectrum",
    "mixer",
    "ra_range",
    "reflected_rgb",
    "rendition_of",
]
