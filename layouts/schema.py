"""The models of the house file: what may be written, with what meaning.

Lengths come out of validation in metres whatever the file's units.
"""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    Field,
    ValidationInfo,
    WithJsonSchema,
)

from layouts.names import nearest
from layouts.units import length_m, wire_area_mm2

HOUSE_FORMAT = "evenfall-house/1"
_LENGTH_SCHEMA = {
    "anyOf": [{"type": "number"}, {"type": "string"}],
    "description": "a number in the file's units, or text such as '2.5 m', '40 mm', '12 ft 6 in'",
}
_NAME = r"^\w[\w \-]*$"


def _metres(value: Any, info: ValidationInfo) -> float:
    return length_m(value, (info.context or {}).get("units", "m"))


def _positive(value: float) -> float:
    if value <= 0:
        raise ValueError("the length is not more than zero; write a positive length")
    return value


def _wire_size(value: Any) -> str:
    return wire_area_mm2(value)[0]


def _name(value: str) -> str:
    if not re.match(_NAME, value):
        raise ValueError(f"'{value}' is not a name; use letters, digits, spaces, - and _")
    return value


Length = Annotated[float, BeforeValidator(_metres), WithJsonSchema(_LENGTH_SCHEMA)]
PositiveLength = Annotated[Length, AfterValidator(_positive)]
Point = Annotated[list[Length], Field(min_length=2, max_length=2)]
Name = Annotated[str, AfterValidator(_name)]
WireText = Annotated[
    str, BeforeValidator(_wire_size), WithJsonSchema({"type": "string", "examples": ["16 AWG"]})
]
Positive = Annotated[float, Field(gt=0)]
NotNegative = Annotated[float, Field(ge=0)]


def _aim(value: Any) -> str | float:
    words = ("down", "up", "wall", "out")
    if isinstance(value, int | float) and not isinstance(value, bool) and -180 <= value <= 180:
        return float(value)
    if value in words:
        return str(value)
    raise ValueError(
        f"{value!r} is not an aim; write {', '.join(words)} or degrees from straight down"
        " towards the wall, -180 to 180"
    )


Aim = Annotated[
    Any,
    BeforeValidator(_aim),
    WithJsonSchema({"anyOf": [{"enum": ["down", "up", "wall", "out"]}, {"type": "number"}]}),
]


class Part(BaseModel):
    """What every part of a file has in common: no unknown keys, no guessed types."""

    model_config = ConfigDict(extra="forbid", strict=True, allow_inf_nan=False, frozen=True)


class ChannelEntry(Part):
    """One colour of a kind."""

    ma: Positive | None = Field(None, description="current [mA] at full duty")
    vf: Positive | None = Field(None, description="forward voltage [V] as wired")
    nm: Annotated[float, Field(ge=380, le=730)] | None = Field(
        None, description="dominant wavelength [nm]"
    )
    cct: Annotated[float, Field(ge=1000, le=20000)] | None = Field(
        None, description="correlated colour temperature [K] of a phosphor white"
    )
    fwhm_nm: Annotated[float, Field(ge=1, le=200)] | None = Field(
        None, description="spectral width at half height [nm]"
    )
    lm: NotNegative | None = Field(None, description="luminous flux [lm] of one pixel at full duty")


class ChannelsEntry(Part):
    """The colours of a kind."""

    r: ChannelEntry | None = None
    g: ChannelEntry | None = None
    b: ChannelEntry | None = None
    w: ChannelEntry | None = None


class KindEntry(Part):
    """A kind of pixel; with `like`, only what differs."""

    like: str | None = Field(None, description="the kind this one starts from")
    channels: ChannelsEntry | None = None
    volts: Positive | None = Field(None, description="nominal supply [V]")
    law: Literal["parallel", "series"] | None = Field(
        None, description="series: the colours' dies are in series, any one draws the full current"
    )
    headroom_v: Positive | None = Field(None, description="volts the driver needs above VF")
    idle_ma: NotNegative | None = Field(None, description="current [mA] of a dark pixel")
    min_v: Positive | None = Field(None, description="below this the data logic is not trusted")
    bits: Annotated[int, Field(ge=1, le=128)] | None = Field(None, description="of one pixel")
    bit_us: Positive | None = None
    reset_us: NotNegative | None = None
    order: str | None = Field(None, description="of the channels on the data line, e.g. grb")
    pwm_hz: Positive | None = None
    backup_data: bool | None = None
    data_hop_m: PositiveLength | None = Field(
        None, description="greatest distance between pixels that data crosses unaided"
    )
    per_metre: Positive | None = Field(None, description="pixels a metre, instead of pitch")
    pitch: PositiveLength | None = None
    rail_ohm_per_m: NotNegative | None = Field(
        None, description="of each of + and −, at 20 °C; a string may give its wire instead"
    )
    wire: WireText | None = Field(None, description="of a string's leads")
    mount: Literal["strip", "string"] | None = None
    leds_per_pixel: Annotated[int, Field(ge=1, le=100)] | None = None
    beam_half_deg: Annotated[float, Field(gt=0, le=90)] | None = None


class RunEntry(Part):
    """One unbroken piece of strip or string, in data order."""

    name: Name
    pixels: str = Field(description="the kind of its pixels")
    path: Annotated[list[Point], Field(min_length=2)]
    count: Annotated[int, Field(ge=1)] | None = Field(
        None, description="spread evenly; without it the path is filled at the kind's pitch"
    )
    aim: Aim = "down"
    standoff: PositiveLength = 0.05
    profile: str = "bare"
    spare_first: Annotated[int, Field(ge=0)] = Field(0, description="leading pixels kept dark")


class SupplyEntry(Part):
    """A DC power supply."""

    name: Name
    volts: Positive
    amps: Positive = Field(description="rated current [A]")
    efficiency: Annotated[float, Field(gt=0, le=1)] = 0.85
    no_load_w: NotNegative = 0.5
    source_ohm: NotNegative = 0.0


def _fuse(value: float) -> float:
    if value <= 0:
        raise ValueError(
            f"a fuse of {value:g} A protects nothing; write its rating, or leave it out"
        )
    return value


class WireEntry(Part):
    """A pair of conductors from one end to another."""

    start: str = Field(alias="from", description="supply, junction, or point of a run")
    end: str = Field(alias="to", description="supply, junction, or point of a run")
    wire: WireText
    length: PositiveLength = Field(description="one way")
    fuse: Annotated[float, AfterValidator(_fuse)] | None = Field(None, description="rating [A]")


class OutputEntry(Part):
    """A controller's data port."""

    name: Name
    chain: Annotated[list[str], Field(min_length=1)]
    universe: Annotated[int, Field(ge=1, le=63999)] | None = None
    address: Annotated[int, Field(ge=1, le=512)] | None = None
    fps: Positive | None = None


class SurfaceEntry(Part):
    """A painted polygon."""

    name: str
    outline: Annotated[list[Point], Field(max_length=2000)]
    material: str
    depth: Length = Field(0.0, description="larger is nearer to the viewer")


class PhotoEntry(Part):
    """A photograph of the house behind the lights."""

    file: str
    corners: Annotated[list[Point], Field(min_length=4, max_length=4)] = Field(
        description="lower left, lower right, upper right, upper left"
    )


class DrawingEntry(Part):
    """What is painted, in painting order, and from where it is seen."""

    size: Annotated[list[PositiveLength], Field(min_length=2, max_length=2)]
    viewer: PositiveLength = Field(12.0, description="distance of the viewer")
    surfaces: list[SurfaceEntry] = []
    photo: PhotoEntry | None = None


def _timezone(value: str) -> str:
    from zoneinfo import available_timezones

    if value not in available_timezones():
        near = nearest(value, available_timezones())
        do = f"did you mean '{near}'?" if near else "write it like Europe/Berlin"
        raise ValueError(f"unknown time zone '{value}'; {do}")
    return value


def _country(value: str) -> str:
    if not re.fullmatch("[A-Z]{2}", value):
        raise ValueError(f"'{value}' is not a country code; write two capitals, like DE or US")
    return value


class LocationEntry(Part):
    """Where on Earth the house stands."""

    latitude: Annotated[float, Field(ge=-90, le=90)]
    longitude: Annotated[float, Field(ge=-180, le=180)]
    timezone: Annotated[str, AfterValidator(_timezone)] = Field(examples=["Europe/Berlin"])
    country: Annotated[str, AfterValidator(_country)] = Field(examples=["DE"])


class HouseFile(Part):
    """A house file."""

    format: Literal["evenfall-house/1"]
    name: str
    units: Literal["m", "cm", "mm", "ft", "in"] = "m"
    temperature_c: Annotated[float, Field(ge=-60, le=120)] = Field(
        20.0, description="of the wiring [°C]"
    )
    location: LocationEntry | None = None
    drawing: DrawingEntry
    kinds: dict[Name, KindEntry] = {}
    runs: list[RunEntry] = Field(json_schema_extra={"minItems": 1})
    zones: dict[Name, list[str]] = {}
    supplies: list[SupplyEntry] = []
    wires: list[WireEntry] = []
    outputs: list[OutputEntry] = []
