"""What can be bought and what work costs, as a parts file says it. Lengths are in metres."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True)
class SupplyPart:
    """A supply that can be bought."""

    part: str
    volts: float
    amps: float
    efficiency: float
    no_load_w: float
    price: float | None
    ip: str  # its protection, as sold: "67"; "" where nothing is said
    sheltered: bool  # it must hang where no weather reaches it
    class_2: bool


@dataclass(frozen=True)
class Stock:
    """A length that can be bought: a bar, or a reel of wire."""

    length_m: float
    price: float | None


@dataclass(frozen=True)
class WirePart:
    """Single-conductor wire of one size."""

    size: str  # "14 AWG"
    part: str
    per_metre: float | None
    colours: tuple[str, str]  # of + and of −
    stock_m: tuple[float, ...]  # reels it comes on, shortest first; empty: sold by the metre


@dataclass(frozen=True)
class StripPart:
    """Pixels of one kind: on reels of `reel_m`, or on strings of `nodes` pixels."""

    part: str
    reel_m: float | None
    nodes: int | None
    price: float | None  # of one reel or string


@dataclass(frozen=True)
class ProfilePart:
    """A mounting channel and what belongs to it."""

    part: str
    bars: tuple[Stock, ...]  # shortest first; empty: there is no channel
    covered: bool
    cover_price: float | None  # of the cover of one bar
    end_cap_price: float | None
    clips_every_m: float | None
    clip_price: float | None


@dataclass(frozen=True)
class SmallPart:
    """A fuse, holder, plug or joint."""

    part: str
    price: float | None


@dataclass(frozen=True)
class EnclosurePart:
    """A box."""

    part: str
    supplies: int  # it has room for
    price: float | None


@dataclass(frozen=True)
class ControllerPart:
    """A pixel controller."""

    part: str
    outputs: int
    pixels: int  # in all
    price: float | None


@dataclass(frozen=True)
class Work:
    """How long the work takes, and what an hour costs."""

    hourly: float | None
    joint_min: float  # one solder joint between two lengths of strip
    feed_min: float  # one wire brought to a run
    cut_min: float  # one cut of a run, where + is interrupted
    saw_min: float  # one cut of the saw
    metre_min: float  # one metre of run put up


@dataclass(frozen=True, eq=False)
class Parts:
    """Everything a house can be built of. What no file names is there without a price."""

    file: str  # "" for the built-in quantities
    currency: str  # "" where there are no prices
    note: str
    supplies: tuple[SupplyPart, ...]
    wires: Mapping[str, WirePart]  # by size
    strips: Mapping[str, StripPart]  # by kind of pixel
    profiles: Mapping[str, ProfilePart]
    any_wire: WirePart
    any_strip: StripPart  # what a kind comes on that is not named
    any_string: StripPart
    any_profile: ProfilePart
    fuse: SmallPart
    fuse_holder: SmallPart
    strip_joint: SmallPart
    feed_plug: SmallPart
    data_plug: SmallPart
    junction: SmallPart
    enclosures: tuple[EnclosurePart, ...]
    controllers: tuple[ControllerPart, ...]
    work: Work
    spares: float  # share, 0..1, of pixels and small parts
    slack_m: float  # extra wire at each end of a planned wire; in its length
    kerf_m: float  # what the saw takes at every cut
