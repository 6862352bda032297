"""The records a house is made of. Frozen: a change makes a new record.

Coordinates are house coordinates [m]: x to the right, y up from the ground, z out of the
wall towards the street. Arrays held by records are read-only.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

import numpy as np

from layouts.calibration import Calibration
from layouts.channels import CHANNELS as CHANNELS
from layouts.channels import channels_of as channels_of
from layouts.drawn import AS_PHOTOGRAPHED as AS_PHOTOGRAPHED
from layouts.drawn import GROUNDS as GROUNDS
from layouts.drawn import Drawing as Drawing
from layouts.drawn import Ground as Ground
from layouts.drawn import KnownPoint as KnownPoint
from layouts.drawn import Material as Material
from layouts.drawn import Photo as Photo
from layouts.drawn import Surface as Surface
from layouts.history import Mended
from layouts.logic import HIGH, LOW, OUT, LogicLevel
from layouts.pixel_law import PixelLaw as PixelLaw
from layouts.pixel_law import Regulator as Regulator
from layouts.profile import Profile as Profile
from layouts.set_current import Boots as Boots
from layouts.set_current import SetCurrent as SetCurrent
from layouts.spread import AS_THE_TABLE, HouseSpread
from layouts.warming import Warming


@dataclass(frozen=True)
class Channel:
    """One colour of a pixel. Exactly one of `dominant_nm` and `cct_k` is given."""

    name: str  # one of CHANNELS
    current_ma: float  # at full duty and full headroom
    vf_v: float  # forward voltage of the channel as wired (sum of the dies in series)
    flux_lm: float  # of one pixel at full duty
    dominant_nm: float | None = None
    fwhm_nm: float | None = None
    cct_k: float | None = None
    resistor_ohm: float | None = None  # in series with its dies, where the kind says otherwise


@dataclass(frozen=True)
class Kind:
    """A type of pixel."""

    name: str
    channels: tuple[Channel, ...]  # in the order of CHANNELS
    supply_v: float  # nominal
    law: PixelLaw
    headroom_v: float  # V_h of the pixel law
    idle_ma: float
    min_v: float  # below this the data logic is not trusted
    bits: int  # of one pixel on the data line
    bit_us: float
    reset_us: float
    order: str  # of the channels on the data line, e.g. "grb"
    pwm_hz: float
    backup_data: bool
    pitch_m: float
    rail_ohm_per_m: float  # each of + and −, at 20 °C
    mount: Literal["strip", "string"]
    data_hop_m: float | None = None  # greatest distance between pixels that data crosses unaided
    leds_per_pixel: int = 1
    beam_half_deg: float = 60.0  # angle at which the intensity has halved
    data_high: LogicLevel = HIGH  # read as a one from here up
    data_low: LogicLevel = LOW  # read as a zero up to here
    data_out: LogicLevel = OUT  # what it gives the next pixel for a one
    resistor_ohm: float | None = None  # of every channel that has none of its own
    regulator: Regulator | None = None  # of law `regulator`
    idle_resistor: bool = False  # its logic is fed through one: it idles with less at fewer volts
    max_v: float | None = None  # its makers allow no more at its terminals
    boots: Boots | None = None  # None: nobody says
    frame_bits: int = 0  # on the data line once a frame, beside those of the pixels
    clock_line: bool = False  # data and clock on two wires
    levels: int = 256  # of a channel on the data line
    settable: SetCurrent | None = None  # None: its current is fixed
    set_ma: float | None = None  # as a run sets it: the channels have that current already
    unset: Kind | None = None  # the kind as it is sold, where a run has set its current
    # mappings cannot be hashed; kinds that differ in nothing else are rare, and still unequal
    warm: Mapping[str, Warming] | None = field(default=None, hash=False)  # by channel
    dominant_bins_nm: Mapping[str, tuple[float, float]] | None = field(default=None, hash=False)
    sources: Mapping[str, str] | None = field(default=None, hash=False)  # field -> source and tag
    note: str = ""

    @property
    def whites_k(self) -> tuple[float, ...]:
        """Colour temperatures [K] of its whites, the warm one first."""
        return tuple(c.cct_k for c in self.channels if c.name in "wc" and c.cct_k is not None)

    def channel(self, name: str) -> Channel | None:
        """The channel called `name`, or None where the kind has none."""
        return next((c for c in self.channels if c.name == name), None)


@dataclass(frozen=True, eq=False)
class Run:
    """One unbroken piece of strip or string, in data order."""

    name: str
    kind: Kind
    path_m: np.ndarray  # (K, 2) [m]
    count: int
    first: int  # index of its pixel 0 in House.pixels
    pitch_m: float  # as mounted
    length_m: float
    aim: str | float  # as written
    standoff_m: float
    profile: Profile
    spares: int  # leading pixels that stay dark
    spread: bool = False  # its count was written, so the pixels are spread evenly over the path
    cuts: tuple[int, ...] = ()  # + is interrupted before each of these positions
    missing: tuple[int, ...] = ()  # positions whose pixel is cut out and bridged
    lens_deg: float | None = None  # full angle of its beam; None: its kind's and its profile's

    @property
    def beam_half_deg(self) -> float:
        """Angle from its aim [deg] at which the intensity has halved."""
        if self.lens_deg is not None:
            return self.lens_deg / 2
        return self.profile.beam_half_deg or self.kind.beam_half_deg

    @property
    def pixels(self) -> slice:
        """Where its pixels lie in House.pixels."""
        return slice(self.first, self.first + self.count)

    @property
    def present(self) -> int:
        """How many of its positions have a pixel."""
        return self.count - len(self.missing)

    @property
    def has_pixel(self) -> np.ndarray:
        """(count,) bool: not cut out."""
        there = np.ones(self.count, dtype=bool)
        there[list(self.missing)] = False
        return there

    @property
    def ends(self) -> tuple[int, int]:
        """The first and the last pixel that is there, as indices into House.pixels."""
        there = np.flatnonzero(self.has_pixel)
        return self.first + int(there[0]), self.first + int(there[-1])


@dataclass(frozen=True, eq=False)
class Pixels:
    """Every pixel of the house, run after run in data order; N pixels."""

    xy_m: np.ndarray  # (N, 2) [m]
    standoff_m: np.ndarray  # (N,) [m] distance from the surface it is fixed to
    aim: np.ndarray  # (N, 3) unit vector x, y, z
    run: np.ndarray  # (N,) index into House.runs
    along_m: np.ndarray  # (N,) [m] distance along its own run
    spare: np.ndarray  # (N,) bool

    def __len__(self) -> int:
        return len(self.run)


@dataclass(frozen=True, eq=False)
class Zone:
    """A named set of pixels in the order a layer travels them; M pixels."""

    name: str
    pixels: np.ndarray  # (M,) indices into House.pixels, spares left out
    along_m: np.ndarray  # (M,) [m] distance along the zone
    length_m: float
    parts: tuple[str, ...] = ()  # runs and parts of runs, as written in the file


@dataclass(frozen=True)
class Place:
    """A spot of the house where a supply or a controller can be mounted."""

    name: str
    xy_m: tuple[float, float]
    mains: bool  # whether there is a socket
    sheltered: bool  # from rain


@dataclass(frozen=True, eq=False)
class Route:
    """A line along which cable may be laid."""

    name: str
    path_m: np.ndarray  # (K, 2) [m]


#: Where something is mounted: the name of a place, or house coordinates [m].
Spot = str | tuple[float, float]


@dataclass(frozen=True)
class Supply:
    """A DC power supply: an ideal source behind `source_ohm`."""

    name: str
    volts: float
    rated_a: float
    efficiency: float  # 0..1
    no_load_w: float
    source_ohm: float
    at: Spot | None = None
    adjust_v: tuple[float, float] | None = None  # between which its trimmer sets it


@dataclass(frozen=True)
class WireSize:
    """Copper of one conductor."""

    name: str  # "16 AWG" or "1.5 mm2"
    area_mm2: float
    ampacity_a: float  # what it may carry for hours
    max_ohm_per_km: float | None = None  # the standard's limit at 20 °C, a caution beside IACS
    sources: Mapping[str, str] | None = None
    note: str = ""


@dataclass(frozen=True)
class WireEnd:
    """Where a wire ends: a supply, a junction, or a pad of a run.

    A run of n pixels has pads 0..n+1: 0 the start, k+1 beside pixel k, n+1 the end.
    """

    kind: Literal["supply", "junction", "run"]
    name: str
    pad: int = 0
    text: str = ""  # as written in the file


@dataclass(frozen=True)
class Wire:
    """A pair of conductors, + and −; `length_m` is one way."""

    start: WireEnd
    end: WireEnd
    size: WireSize
    length_m: float
    fuse_a: float | None

    @property
    def label(self) -> str:
        """How reports name it."""
        return f"{self.start.text} → {self.end.text}"


@dataclass(frozen=True)
class Lead:
    """The data wire from a controller to the first pixel."""

    size: WireSize
    length_m: float


@dataclass(frozen=True)
class Output:
    """A controller's data port and the runs on it, in data order."""

    name: str
    chain: tuple[str, ...]
    universe: int | None
    address: int | None
    fps: float | None
    at: Spot | None = None
    lead: Lead | None = None
    logic_v: float | None = None  # what the port gives for a one
    series_ohm: float | None = None  # in the port's own line
    common_minus: str | None = None  # the supply whose − the controller shares


@dataclass(frozen=True)
class Location:
    """Where on Earth the house stands."""

    latitude: float
    longitude: float
    timezone: str
    country: str


#: All of a run that says where its pixels are: first, count, pitch, aim, standoff, spares, missing
#: positions, path.
Placing = tuple[
    int, int, float, str | float, float, int, tuple[int, ...], tuple[tuple[float, float], ...]
]


def placing(run: Run) -> Placing:
    """What the places of the pixels of `run` follow from, to be compared."""
    path = tuple(map(tuple, run.path_m.tolist()))
    where = (run.first, run.count, run.pitch_m, run.aim, run.standoff_m)
    return (*where, run.spares, run.missing, path)


@dataclass(frozen=True, eq=False)
class House:
    """A house and all that is fixed to it."""

    name: str
    file: str
    temperature_c: float  # of the wiring
    location: Location | None
    drawing: Drawing
    runs: tuple[Run, ...]
    zones: Mapping[str, Zone]  # every run is one by its own name; `all` is every pixel
    supplies: tuple[Supply, ...]
    wires: tuple[Wire, ...]
    outputs: tuple[Output, ...]
    pixels: Pixels
    kinds: Mapping[str, Kind] = field(default_factory=dict)  # to choose from, the file's own too
    units: str = "m"  # in which its owner measures
    places: tuple[Place, ...] = ()
    routes: tuple[Route, ...] = ()
    calibration: tuple[Calibration, ...] = ()  # what a meter found, supply by supply
    measures: Mapping[str, Any] = field(default_factory=dict)  # as written; numbers hold already
    placed: tuple[Placing, ...] = ()  # what the pixels were placed by; () where made by hand
    history: tuple[Mended, ...] = ()  # what was done to it, as written
    spread: HouseSpread = AS_THE_TABLE  # how far its parts differ from their sheets

    def __post_init__(self) -> None:
        """Raises ValueError where the runs were exchanged and the pixels still stand elsewhere."""
        if self.placed and self.placed != tuple(placing(run) for run in self.runs):
            raise ValueError(
                f"the runs of house '{self.name}' do not fit its pixels any more; change runs with"
                " layouts.change(house, runs=…), which places the pixels anew"
            )

    @property
    def has_pixel(self) -> np.ndarray:
        """(N,) bool: not cut out."""
        return np.concatenate([run.has_pixel for run in self.runs])

    @property
    def channels(self) -> tuple[str, ...]:
        """What the last axis of its arrays is: r, g, b, w, and c where a run has a second white."""
        return channels_of(run.kind for run in self.runs)

    @property
    def present(self) -> int:
        """How many pixels there are, those cut out not counted."""
        return sum(run.present for run in self.runs)

    def run(self, name: str) -> Run:
        """The run called `name`; KeyError where there is none."""
        for run in self.runs:
            if run.name == name:
                return run
        raise KeyError(name)
