"""The types of what is written in a house file: how each is read, refused and described.

The bounds are those of sense, not of taste: they keep slips of the pen and overflow out.
"""

from __future__ import annotations

import re
from typing import Annotated, Any
from zoneinfo import ZoneInfo, available_timezones

from pydantic import AfterValidator, BeforeValidator, Field, ValidationInfo, WithJsonSchema

from layouts.files.names import checked_name, nearest
from layouts.files.numerals import mended
from layouts.units import length_m, wire_area_mm2

AIMS = ("down", "up", "wall", "out")
LEAST_PITCH_M = 0.0005
_LENGTH = {"anyOf": [{"type": "number"}, {"type": "string", "examples": ["2.5 m", "12 ft 6 in"]}]}
_AIM = {"anyOf": [{"enum": list(AIMS)}, {"type": "number", "minimum": -180, "maximum": 180}]}


def _metres(value: Any, info: ValidationInfo) -> float:
    return length_m(value, (info.context or {}).get("units", "m"))


def _positive(value: float) -> float:
    if value <= 0:
        raise ValueError("the length is not more than zero; write a positive length")
    return value


def _pitch(value: float) -> float:
    if value < LEAST_PITCH_M:
        raise ValueError(f"a pitch of {value * 1000:g} mm is too small; check its unit")
    return value


def _wire_size(value: Any) -> str:
    return wire_area_mm2(value)[0]


def _aim(value: Any) -> str | float:
    if isinstance(value, int | float) and not isinstance(value, bool) and -180 <= value <= 180:
        return float(value)
    if value in AIMS:
        return str(value)
    do = mended(value)[1] if isinstance(value, str) else ""
    if do:
        raise ValueError(f"{value!r} is not an aim; {do}")
    raise ValueError(
        f"{value!r} is not an aim; write {', '.join(AIMS)} or degrees from straight down"
        " towards the wall, -180 to 180"
    )


def _fuse(value: float) -> float:
    if value <= 0:
        raise ValueError(
            f"a fuse of {value:g} A protects nothing; write its rating, or leave it out"
        )
    return value


def _timezone(value: str) -> str:
    try:
        ZoneInfo(value)
    except (KeyError, ValueError, OSError):
        near = nearest(value, available_timezones())
        do = f"did you mean '{near}'?" if near else "write it like Europe/Berlin"
        raise ValueError(f"unknown time zone '{value}'; {do}") from None
    return value


def _country(value: str) -> str:
    if not re.fullmatch("[A-Z]{2}(-[A-Z0-9]{1,3})?", value):
        raise ValueError(f"'{value}' is not a country code; write it like DE, US or GB-ENG")
    return value


Name = Annotated[str, AfterValidator(checked_name)]
Length = Annotated[float, BeforeValidator(_metres), WithJsonSchema(_LENGTH)]
PositiveLength = Annotated[Length, AfterValidator(_positive)]
Pitch = Annotated[PositiveLength, AfterValidator(_pitch)]
Point = Annotated[list[Length], Field(min_length=2, max_length=2)]
WireText = Annotated[
    str, BeforeValidator(_wire_size), WithJsonSchema({"type": "string", "examples": ["16 AWG"]})
]
Aim = Annotated[Any, BeforeValidator(_aim), WithJsonSchema(_AIM)]
Timezone = Annotated[str, AfterValidator(_timezone)]
Country = Annotated[str, AfterValidator(_country)]

#: Extra-low voltage: 60 V dc is the most that low-voltage lighting may have (NEC 411.3).
Volts = Annotated[float, Field(gt=0, le=60)]
Amps = Annotated[float, Field(gt=0, le=1000)]
Fuse = Annotated[float, AfterValidator(_fuse), Field(le=1000)]
Milliamps = Annotated[float, Field(gt=0, le=10_000)]
IdleMilliamps = Annotated[float, Field(ge=0, le=1000)]
Ohms = Annotated[float, Field(ge=0, le=100)]
Watts = Annotated[float, Field(ge=0, le=1000)]
Share = Annotated[float, Field(ge=0.01, le=1)]
Lumens = Annotated[float, Field(ge=0, le=100_000)]
Nanometres = Annotated[float, Field(ge=380, le=730)]
Kelvins = Annotated[float, Field(ge=1000, le=20_000)]
Width = Annotated[float, Field(ge=1, le=200)]
Microseconds = Annotated[float, Field(gt=0, le=1_000_000)]
Hertz = Annotated[float, Field(gt=0, le=1_000_000)]
FramesPerSecond = Annotated[float, Field(gt=0, le=1000)]
Celsius = Annotated[float, Field(ge=-60, le=120)]
