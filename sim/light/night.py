"""The hours of the night: how much light there is before any pixel is lit.

The sky of an hour is given by three luminances; what it throws on the house is their integral
(`sky.sky_lx`), so the sky that is drawn and the light on the walls cannot disagree. On open ground
that integral is what a clear sky gives at the sun's height: 3.4 lx at −6°, the end of civil
twilight [handbook], 2.4 lx at −6.3° and 0.8 lx at −7.2° (Seidelmann 1992, Explanatory Supplement to
the Astronomical Almanac, polynomial for −12° to −5°, which gives 3.4 lx at −6° too) [from memory];
late at night some hundredths of a lux, of which
a town's glow is most [common practice, no source]. Full moon 0.25 lx [handbook]; a residential
street 2 to 7.5 lx on the road [from memory], a small part of that on a house set back from it
[common practice, no source], the same at every hour. How the sky's light is shared between zenith,
horizon and afterglow, its colours and those of lit windows are chosen by eye [common practice, no
source].
"""

from __future__ import annotations

from dataclasses import dataclass

from effects.colour_spaces import LUMINANCE

Colour = tuple[float, float, float]  # linear sRGB of luminance 1


def _unit(red: float, green: float, blue: float) -> Colour:
    """The colour brought to luminance 1."""
    y = float(LUMINANCE @ (red, green, blue))
    return red / y, green / y, blue / y


@dataclass(frozen=True)
class Hour:
    """One named hour."""

    name: str
    sun_deg: float  # height of the sun
    street_lx: float  # on the wall, from lamps along the street
    moon_lx: float
    zenith_cd_m2: float
    zenith_colour: Colour
    horizon_cd_m2: float
    horizon_colour: Colour
    glow_cd_m2: float  # afterglow above where the sun went down
    glow_colour: Colour
    window_cd_m2: float
    windows_lit: float  # share of the lit windows where somebody is still up
    stars: float  # 0..1


STREET_COLOUR = _unit(1.0, 0.62, 0.30)
MOON_COLOUR = _unit(0.86, 0.95, 1.12)

HOURS: dict[str, Hour] = {
    hour.name: hour
    for hour in (
        Hour(
            "dusk",
            sun_deg=-6.3,
            street_lx=0.4,
            moon_lx=0.0,
            zenith_cd_m2=0.60,
            zenith_colour=_unit(0.12, 0.26, 0.72),
            horizon_cd_m2=3.3,
            horizon_colour=_unit(0.62, 0.66, 0.86),
            glow_cd_m2=5.2,
            glow_colour=_unit(1.0, 0.46, 0.20),
            window_cd_m2=20.0,
            windows_lit=1.0,
            stars=0.25,
        ),
        Hour(
            "evening",
            sun_deg=-7.2,
            street_lx=0.4,
            moon_lx=0.05,
            zenith_cd_m2=0.19,
            zenith_colour=_unit(0.07, 0.20, 0.66),
            horizon_cd_m2=0.94,
            horizon_colour=_unit(0.30, 0.56, 0.95),
            glow_cd_m2=2.6,
            glow_colour=_unit(1.0, 0.45, 0.16),
            window_cd_m2=20.0,
            windows_lit=1.0,
            stars=0.8,
        ),
        Hour(
            "late",
            sun_deg=-30.0,
            street_lx=0.4,
            moon_lx=0.25,
            zenith_cd_m2=0.018,
            zenith_colour=_unit(0.16, 0.26, 0.66),
            horizon_cd_m2=0.085,
            horizon_colour=_unit(0.42, 0.46, 0.66),
            glow_cd_m2=0.0,
            glow_colour=_unit(1.0, 0.6, 0.3),
            window_cd_m2=16.0,
            windows_lit=0.4,
            stars=1.0,
        ),
    )
}
