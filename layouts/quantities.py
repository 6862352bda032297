"""The types of what is written in a house file: how each is read, refused and described.

The bounds are those of sense, not of taste: they keep slips of the pen and overflow out.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from typing import Annotated, Any
from zoneinfo import ZoneInfo, available_timezones

from pydantic import AfterValidator, BeforeValidator, Field, ValidationInfo, WithJsonSchema

from layouts.catalogue import wire_size
from layouts.entries import length_entry
from layouts.expression import ExpressionError, is_expression
from layouts.files.names import checked_name, in_one_line, nearest
from layouts.files.numerals import in_unit, mended
from layouts.logic import logic_level
from layouts.measures import NONE, Measures
from layouts.units import length_m, wire_area_mm2

AIMS = ("down", "up", "wall", "out")
LEAST_PITCH_M = 0.0005
_LENGTHS = ["2.5 m", "12 ft 6 in", "= width / 2"]
_LENGTH = {
    "anyOf": [
        {"type": "number"},
        {"type": "string", "examples": _LENGTHS},
    ]
}
_EXPRESSION = {"type": "string", "pattern": r"^\s*=", "examples": ["= width / 2"]}
_CUT = {"anyOf": [{"type": "integer", "minimum": 1}, {"type": "string", "examples": ["2.5 m"]}]}
_SPOT = {
    "anyOf": [{"type": "string"}, {"type": "array", "items": _LENGTH, "minItems": 2, "maxItems": 2}]
}
_AIM = {
    "anyOf": [
        {"enum": list(AIMS)},
        {"type": "number", "minimum": -180, "maximum": 180},
        _EXPRESSION,
    ]
}


def _measures(info: ValidationInfo) -> Measures:
    made: Measures = (info.context or {}).get("measures", NONE)
    return made


def _metres(value: Any, info: ValidationInfo) -> float:
    unit = (info.context or {}).get("units", "m")
    if isinstance(value, str) and is_expression(value):
        return _measures(info).length(value, unit)
    return length_m(value, unit)


def _reckoned(value: Any, info: ValidationInfo) -> Any:
    """The number that an expression comes to, whole where it is; anything else as it is."""
    if not is_expression(value):
        return value
    number = _measures(info).number(value)
    return int(number) if number.is_integer() else number


def _whole(value: Any, info: ValidationInfo) -> Any:
    made = _reckoned(value, info)
    if made is not value and isinstance(made, float):
        raise ExpressionError(f"this comes to {made:g}, where a whole number belongs; round it", 0)
    return made


def _wire_end(value: Any, info: ValidationInfo) -> Any:
    """`eave@= width / 2` with the length that it comes to."""
    run, _, along = value.partition("@") if isinstance(value, str) else ("", "", "")
    if not is_expression(along):
        return value
    try:
        return f"{run}@{length_entry(_metres(along, info))}"
    except ExpressionError as error:
        raise ExpressionError(str(error), len(run) + 1 + error.offset) from None


def _positive(value: float) -> float:
    if value <= 0:
        raise ValueError("the length is not more than zero; write a positive length")
    return value


def rising(pair: list[float]) -> list[float]:
    """A range as written, [low, high]; ValueError where it is the other way round."""
    if pair[0] > pair[1]:
        raise ValueError(f"{pair[0]:g} is more than {pair[1]:g}; write the lower end first")
    return pair


def _pitch(value: float) -> float:
    if value < LEAST_PITCH_M:
        raise ValueError(f"a pitch of {value * 1000:g} mm is too small; check its unit")
    return value


def _wire_size(value: Any, info: ValidationInfo) -> str:
    if isinstance(value, str) and value in (info.context or {}).get("wires", ()):
        return value
    return wire_area_mm2(value)[0]


def _wire_of_copper(value: str, info: ValidationInfo) -> str:
    """Refuses a size that nobody says the ampacity of; a string's own leads may be as thin."""
    if value not in (info.context or {}).get("wires", ()):
        wire_size(value)
    return value


def _aim(value: Any, info: ValidationInfo) -> str | float:
    value = _reckoned(value, info)
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


def _cut(value: Any, info: ValidationInfo) -> int | float:
    """A position as a whole number, or metres along the run as a float."""
    if isinstance(value, int) and not isinstance(value, bool):
        return value
    if is_expression(value):
        plain = _measures(info).quantity(value).plain
        return _whole(value, info) if plain else _metres(value, info)
    if isinstance(value, str):
        return length_m(value)
    if isinstance(value, float):
        raise ValueError(
            f"{value:g} is not a position, which is a whole number; write a length with its unit:"
            f" '{value:g} {(info.context or {}).get('units', 'm')}'"
        )
    raise ValueError(f"{value!r} is not a cut; write the position behind it, or a length '2.5 m'")


def _spot(value: Any, info: ValidationInfo) -> str | tuple[float, float]:
    if isinstance(value, str):
        return value
    if isinstance(value, list | tuple) and len(value) == 2:
        return _metres(value[0], info), _metres(value[1], info)
    raise ValueError(f"{value!r} is not a spot; write the name of a place, or [x, y]")


def _logic(value: float) -> float:
    if value not in (3.3, 5.0):
        raise ValueError(f"a port gives 3.3 V or 5 V, not {value:g} V; write 3.3 or 5")
    return value


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


def _level(value: Any) -> str:
    """`0.7 vdd` or `2.7 V`, as it was written."""
    logic_level(value)
    return str(value)


def _date(value: str) -> str:
    try:
        date.fromisoformat(value)
    except ValueError:
        raise ValueError(f"'{value}' is not a date; write it like 2026-12-24") from None
    return value


Name = Annotated[str, AfterValidator(checked_name)]
OneLine = Annotated[str, AfterValidator(in_one_line)]  # a title, say: it may hold any letter
Length = Annotated[float, BeforeValidator(_metres), WithJsonSchema(_LENGTH)]
PositiveLength = Annotated[Length, AfterValidator(_positive)]
Pitch = Annotated[PositiveLength, AfterValidator(_pitch)]
Point = Annotated[list[Length], Field(min_length=2, max_length=2)]
WireText = Annotated[
    str, BeforeValidator(_wire_size), WithJsonSchema({"type": "string", "examples": ["16 AWG"]})
]
CableText = Annotated[WireText, AfterValidator(_wire_of_copper)]
Cut = Annotated[Any, BeforeValidator(_cut), WithJsonSchema(_CUT)]
Spot = Annotated[Any, BeforeValidator(_spot), WithJsonSchema(_SPOT)]
Aim = Annotated[Any, BeforeValidator(_aim), WithJsonSchema(_AIM)]
Count = Annotated[
    int,
    Field(ge=1),
    BeforeValidator(_whole),
    WithJsonSchema({"anyOf": [{"type": "integer", "minimum": 1}, _EXPRESSION]}),
]
Spares = Annotated[
    int,
    Field(ge=0),
    BeforeValidator(_whole),
    WithJsonSchema({"anyOf": [{"type": "integer", "minimum": 0}, _EXPRESSION]}),
]
Position = Annotated[
    int, Field(ge=0), BeforeValidator(_whole), WithJsonSchema({"type": "integer", "minimum": 0})
]
LevelText = Annotated[
    str,
    BeforeValidator(_level),
    WithJsonSchema({"type": "string", "examples": ["0.7 vdd", "2.7 V"]}),
]
Date = Annotated[
    str, AfterValidator(_date), WithJsonSchema({"type": "string", "examples": ["2026-12-24"]})
]
WireEnd = Annotated[str, BeforeValidator(_wire_end)]
#: Read by `layouts.measures`, before anything else of the file.
MeasureValue = Annotated[Any, WithJsonSchema(_LENGTH)]
Timezone = Annotated[str, AfterValidator(_timezone)]
Country = Annotated[str, AfterValidator(_country)]


@dataclass(frozen=True)
class In:
    """A number, bare or with a unit that measures the same as `unit`: `500 mA` for amperes."""

    unit: str
    example: str

    def _read(self, value: Any, info: Any) -> Any:
        if is_expression(value):
            return _reckoned(value, info)
        said = in_unit(value, self.unit) if isinstance(value, str) else None
        return value if said is None else said

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        from pydantic_core import core_schema

        return core_schema.with_info_before_validator_function(self._read, handler(source))

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        return {"anyOf": [handler(schema), {"type": "string", "examples": [self.example]}]}


#: Extra-low voltage: 60 V dc is the most that low-voltage lighting may have (NEC 411.3).
Volts = Annotated[float, Field(gt=0, le=60), In("V", "5 V")]
LogicVolts = Annotated[float, AfterValidator(_logic), In("V", "3.3 V")]
Amps = Annotated[float, Field(gt=0, le=1000), In("A", "10 A")]
Fuse = Annotated[float, Field(le=1000), AfterValidator(_fuse), In("A", "7.5 A")]
Milliamps = Annotated[float, Field(gt=0, le=10_000), In("mA", "20 mA")]
IdleMilliamps = Annotated[float, Field(ge=0, le=1000), In("mA", "1 mA")]
Ohms = Annotated[float, Field(ge=0, le=100), In("Ω", "90 mΩ")]
RailOhms = Annotated[float, Field(ge=1e-9, le=100), In("Ω", "90 mΩ")]  # nothing has none
SeriesOhms = Annotated[float, Field(ge=0, le=10_000), In("Ω", "330 ohm")]
ResistorOhms = Annotated[float, Field(gt=0, le=1_000_000), In("Ω", "910 ohm")]
Watts = Annotated[float, Field(ge=0, le=1000), In("W", "0.5 W")]
Share = Annotated[float, Field(ge=0.01, le=1), In("", "86 %")]
Part = Annotated[float, Field(ge=0, le=1), In("", "40 %")]
Lumens = Annotated[float, Field(ge=0, le=100_000), In("lm", "2 lm")]
Nanometres = Annotated[float, Field(ge=380, le=730), In("nm", "620 nm")]
Kelvins = Annotated[float, Field(ge=1000, le=20_000), In("K", "3000 K")]
Width = Annotated[float, Field(ge=1, le=200), In("nm", "20 nm")]
Microseconds = Annotated[float, Field(gt=0, le=1_000_000), In("us", "1.25 us")]
#: A part with a clock line needs no pause.
PauseMicroseconds = Annotated[float, Field(ge=0, le=1_000_000), In("us", "280 us")]
Hertz = Annotated[float, Field(gt=0, le=1_000_000), In("Hz", "2 kHz")]
FramesPerSecond = Annotated[float, Field(gt=0, le=1000), In("fps", "40 fps")]
Celsius = Annotated[float, Field(ge=-60, le=120), In("°C", "-10 °C")]
HopMetres = Annotated[float, Field(gt=0, le=1000), In("m", "3 m")]
Degrees = Annotated[float, Field(gt=0, le=90), In("°", "60 °")]
LensDegrees = Annotated[float, Field(ge=5, le=170), In("°", "30 °")]
Latitude = Annotated[float, Field(ge=-90, le=90), In("°", "48 °")]
Longitude = Annotated[float, Field(ge=-180, le=180), In("°", "8 °")]
