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

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from effects.colour_spaces import LUMINANCE
from sim.light.tables.read import rows

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


def _hour(row: dict[str, str]) -> Hour:
    """One row of the table; what is written as three numbers is a colour."""
    values = {
        name: _unit(*map(float, written.split())) if name.endswith("_colour") else float(written)
        for name, written in row.items()
        if name not in ("name", "source")
    }
    return Hour(row["name"], **values)  # type: ignore[arg-type]


#: When most people see a house that is lit: pictures show it unless they are asked for another.
USUAL_HOUR = "late"

HOURS: Mapping[str, Hour] = MappingProxyType({row["name"]: _hour(row) for row in rows("hours")})
