"""The models of the house file: what may be written, with what meaning.

Lengths come out of validation in metres whatever the file's units, and expressions as what they
come to; the keys of the context are `units` and `measures`.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from layouts.drawn import USUAL_BOUNCES, Bounces, Faces, Ground
from layouts.kind_schema import ChannelEntry as ChannelEntry
from layouts.kind_schema import ChannelsEntry as ChannelsEntry
from layouts.kind_schema import DataEntry as DataEntry
from layouts.kind_schema import KindEntry as KindEntry
from layouts.kind_schema import SetCurrentEntry as SetCurrentEntry
from layouts.quantities import (
    Aim,
    Amps,
    CableText,
    Celsius,
    Count,
    Country,
    Cut,
    Date,
    FramesPerSecond,
    Fuse,
    Latitude,
    Length,
    LensDegrees,
    LogicVolts,
    Longitude,
    MeasureValue,
    Milliamps,
    Name,
    Ohms,
    OneLine,
    Part,
    Point,
    Position,
    PositiveLength,
    SeriesOhms,
    Share,
    Spares,
    Spot,
    Timezone,
    Volts,
    Watts,
    WireEnd,
)
from layouts.spread_schema import SpreadEntry
from layouts.strict import StrictModel as StrictModel

#: Of a photograph: where in it [px], and how its lens bends (see `layouts.photograph.lens`).
PixelNumber = Annotated[float, Field(ge=-1e6, le=1e6, strict=False)]
LensTerm = Annotated[float, Field(ge=-1, le=1, strict=False)]


#: The runs and parts of runs that one zone is made of.
ZoneParts = Annotated[list[str], Field(max_length=2000)]
#: Of a house: far more than any has. What takes the square of their number stays within bounds.
MOST_ENTRIES, MOST_WIRES = 10_000, 4_000


class RunEntry(StrictModel):
    """One unbroken piece of strip or string, in data order."""

    name: Name
    pixels: str = Field(description="the kind of its pixels")
    path: Annotated[list[Point], Field(min_length=2)] = Field(description="from data in onwards")
    count: Count | None = Field(
        None, description="spread evenly; without it the path is filled at the kind's pitch"
    )
    aim: Aim = Field("down", description="a word, or degrees from straight down to the wall")
    standoff: PositiveLength = Field(0.05, description="distance from the wall")
    profile: str = Field("bare", description="the mounting channel")
    spare_first: Spares = Field(0, description="leading pixels kept dark")
    set_ma: Milliamps | None = Field(
        None, description="current [mA] that its pixels are set to, where their kind can be"
    )
    cuts: list[Cut] = Field(
        [],
        description="+ is interrupted before these positions: a number counts pixels, a length is"
        " the nearest boundary between two",
    )
    missing: list[Position] = Field(
        [], description="positions whose pixel is cut out and bridged; the others keep theirs"
    )
    lens: LensDegrees | None = Field(
        None,
        description="angle across the beam within which the intensity is more than half; without"
        " it that of the kind and of the mounting channel",
    )


class SupplyEntry(StrictModel):
    """A DC power supply."""

    name: Name
    volts: Volts
    amps: Amps = Field(description="rated current [A]")
    efficiency: Share = Field(0.85, description="of mains to DC, 0 to 1")
    no_load_w: Watts = Field(0.5, description="what it takes from the mains with nothing on")
    source_ohm: Ohms = Field(0.0, description="resistance inside it and of its terminals")
    at: Spot | None = Field(None, description="where it is mounted: a place, or [x, y]")
    adjust_v: Annotated[list[Volts], Field(min_length=2, max_length=2)] | None = Field(
        None, description="least and most volts that its trimmer sets"
    )


class PlaceEntry(StrictModel):
    """A spot where a supply or a controller can be mounted."""

    name: Name
    at: Point
    mains: bool = Field(False, description="whether there is a socket")
    sheltered: bool = Field(False, description="whether rain is kept off")


class RouteEntry(StrictModel):
    """A line along which cable may be laid."""

    name: Name
    path: Annotated[list[Point], Field(min_length=2)]


class LeadEntry(StrictModel):
    """The data wire from a controller to the first pixel."""

    wire: CableText
    length: PositiveLength


class WireEntry(StrictModel):
    """A pair of conductors from one end to another."""

    start: WireEnd = Field(alias="from", description="a supply, a junction, or a point of a run")
    end: WireEnd = Field(alias="to", description="a supply, a junction, or a point of a run")
    wire: CableText = Field(description="its size, like 16 AWG or 1.5 mm2")
    length: PositiveLength = Field(description="one way")
    fuse: Fuse | None = Field(None, description="rating [A]")


class OutputEntry(StrictModel):
    """A controller's data port."""

    name: Name
    chain: Annotated[list[str], Field(min_length=1)] = Field(description="its runs, in data order")
    universe: Annotated[int, Field(ge=1, le=63999)] | None = Field(
        None, description="the first it fills"
    )
    address: Annotated[int, Field(ge=1, le=512)] | None = Field(
        None, description="the first slot in it; 1 if not given"
    )
    fps: FramesPerSecond | None = Field(None, description="frames a second that are asked")
    at: Spot | None = Field(None, description="where the controller is: a place, or [x, y]")
    lead: LeadEntry | None = Field(None, description="the data wire to the first pixel")
    logic_v: LogicVolts | None = Field(None, description="what the port gives for a one, 3.3 or 5")
    series_ohm: SeriesOhms | None = Field(None, description="in the port's own line")
    common_minus: str | None = Field(
        None, description="the supply whose − the controller is joined to"
    )


class MendedEntry(StrictModel):
    """What was done, and when."""

    date: Date = Field(description="like 2026-12-24")
    what: str


class CurveEntry(StrictModel):
    """What a supply takes from the mains for P watts out of it: a + b·P + c·P²."""

    a: Watts = Field(description="[W] with nothing on it")
    b: Annotated[float, Field(ge=1, le=10)] = Field(description="W for each W, at little load")
    c: Annotated[float, Field(ge=-0.1, le=0.1)] = Field(0.0, description="W for each W²")


Factor = Annotated[float, Field(gt=0, le=100)]


class FactorsEntry(StrictModel):
    """Of each channel, what its kind's current is multiplied with."""

    r: Factor | None = None
    g: Factor | None = None
    b: Factor | None = None
    w: Factor | None = None
    c: Factor | None = None


class CalibrationEntry(StrictModel):
    """What a meter found of the pixels on one supply; `evenfall meter --write` writes it."""

    supply: str | None = Field(None, description="left out: it is gone, the currents still hold")
    volts: Volts = Field(description="of the supply when measured")
    runs: dict[str, str] = Field(description="the runs on it, each with its kind when measured")
    idle: Annotated[float, Field(ge=0, le=100)] = Field(1.0, description="times the idle current")
    currents: FactorsEntry = FactorsEntry()
    curve: CurveEntry | None = None
    uncertainty: dict[str, Annotated[float, Field(ge=0)]] = Field(
        {}, description="standard uncertainty of each of these"
    )
    readings: str = Field("", description="the file they were worked out from")


class SurfaceEntry(StrictModel):
    """A painted polygon."""

    name: OneLine
    outline: Annotated[list[Point], Field(max_length=2000)]
    material: str | None = Field(None, description="left out: as the photo shows it")
    depth: Length = Field(0.0, description="larger is nearer to the viewer")
    lit: Part | None = Field(
        None, description="of a lit window: 0 is dark, 1 as bright as the hour has windows"
    )
    faces: Faces = Field("street", description="down: the underside of an eave, drawn below it")


class KnownPointEntry(StrictModel):
    """A place on the wall that is known in the photograph."""

    pixel: Annotated[list[PixelNumber], Field(min_length=2, max_length=2)] = Field(
        description="to the right and downwards from the upper left of the picture as it is seen"
    )
    at: Point = Field(description="where on the wall")


class PhotoEntry(StrictModel):
    """A photograph of the house behind the lights: its four corners, or points that are known."""

    file: str = Field(description="in the folder of the house file, or below it")
    corners: Annotated[list[Point], Field(min_length=4, max_length=4)] | None = Field(
        None, description="lower left, lower right, upper right, upper left"
    )
    points: Annotated[list[KnownPointEntry], Field(max_length=200)] | None = Field(
        None, description="instead of corners: four or more on the wall, no three on a line"
    )
    lens: Annotated[list[LensTerm], Field(min_length=2, max_length=2)] | None = Field(
        None, description="k1 and k2 of Brown's model, r in half diagonals; below 0 is a barrel"
    )


class DrawingEntry(StrictModel):
    """What is painted, in painting order, and from where it is seen."""

    size: Annotated[list[PositiveLength], Field(min_length=2, max_length=2)] | None = Field(
        None, description="width and height; without it, what the surfaces and runs take up"
    )
    viewer: PositiveLength = Field(12.0, description="distance of the viewer")
    surfaces: list[SurfaceEntry] = Field([], max_length=MOST_ENTRIES)
    photo: PhotoEntry | None = None
    ground: Ground = Field("grass", description="what lies on ground and roofs: wet, snow")
    lit_windows: Part | None = Field(
        None, description="share of the lit windows, 0 to 1; without it as the hour has it"
    )
    bounces: Bounces = Field(
        USUAL_BOUNCES, description="how often light goes on between wall, soffit and ground"
    )


class LocationEntry(StrictModel):
    """Where on Earth the house stands."""

    latitude: Latitude = Field(description="north is positive")
    longitude: Longitude = Field(description="east is positive")
    timezone: Timezone = Field(examples=["Europe/Berlin"])
    country: Country = Field(examples=["DE", "US", "GB-ENG"])


class HouseFile(StrictModel):
    """A house and all that is fixed to it."""

    format: Literal["evenfall-house/1"]
    name: OneLine
    units: Literal["m", "cm", "mm", "ft", "in"] = Field("m", description="of bare numbers")
    measures: dict[str, MeasureValue] = Field(
        {}, description="names for numbers and lengths; '= width / 2' reckons with them"
    )
    temperature_c: Celsius = Field(20.0, description="of the wiring [°C]")
    location: LocationEntry | None = None
    drawing: DrawingEntry
    kinds: dict[Name, KindEntry] = Field({}, description="kinds that the catalogue has not")
    runs: list[RunEntry] = Field(max_length=MOST_ENTRIES, json_schema_extra={"minItems": 1})
    zones: Annotated[dict[Name, ZoneParts], Field(max_length=2000)] = Field(
        {}, description='runs and parts of them, like "eave[10:40]"'
    )
    supplies: list[SupplyEntry] = Field([], max_length=MOST_WIRES)
    wires: list[WireEntry] = Field([], max_length=MOST_WIRES)
    outputs: list[OutputEntry] = Field([], max_length=MOST_ENTRIES)
    places: list[PlaceEntry] = Field([], description="where supplies and controllers may be")
    routes: list[RouteEntry] = Field([], description="along which cable may be laid")
    history: list[MendedEntry] = Field([], description="what was mended, and when")
    calibration: list[CalibrationEntry] = Field([], description="what a meter at the wall found")
    spread: SpreadEntry = Field(
        default_factory=SpreadEntry.nothing, description="how far parts differ from their sheets"
    )
