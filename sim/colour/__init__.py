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

__all__ = [
    "COLOUR_USES",
    "WHITE_USES",
    "Gamut",
    "Mixer",
    "codes",
    "duty",
    "emission_xyz_lm",
    "emitted_rgb",
    "gamut_report",
    "mixer",
    "reflected_rgb",
]
