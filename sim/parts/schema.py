"""The model of the parts file: what may be written, with what meaning."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from layouts.quantities import Amps, Length, OneLine, PositiveLength, Share, Volts, Watts, WireText
from layouts.schema import StrictModel

Price = Annotated[float, Field(ge=0, le=1_000_000)]
Minutes = Annotated[float, Field(ge=0, le=1000)]
Count = Annotated[int, Field(ge=1, le=1_000_000)]
Text = Annotated[OneLine, Field(min_length=1, max_length=120)]
_ASKED = "left out: not known"


class PartRow(StrictModel):
    """What every row may say of itself."""

    part: Text | None = Field(default=None, description="what it is called where it is bought")
    source: str | None = Field(default=None, description="where the row is from")


class SupplyRow(PartRow):
    """A supply that can be bought."""

    part: Text = Field(description="what it is called where it is bought")
    volts: Volts
    amps: Amps = Field(description="rated current [A]")
    efficiency: Share = Field(default=0.85, description="of mains to DC, 0 to 1")
    no_load_w: Watts = Field(
        default=0.5, description="what it takes from the mains with nothing on"
    )
    price: Price | None = Field(default=None, description=_ASKED)
    ip: Text | None = Field(default=None, description="its protection, such as '67'")
    sheltered: bool = Field(default=False, description="it must hang where no weather reaches it")
    class_2: bool = Field(default=False, description="limited to 100 VA, marked Class 2")


class WireRow(PartRow):
    """Single-conductor wire of one size."""

    wire: WireText = Field(description="its size, like 14 AWG or 1.5 mm2")
    per_metre: Price | None = Field(default=None, description=_ASKED)
    colours: Annotated[list[Text], Field(min_length=2, max_length=2)] = Field(
        default=["red", "black"], description="of + and of −"
    )
    stock: list[PositiveLength] = Field(
        default=[], description="lengths of the reels it comes on; left out: sold by the metre"
    )


class KindRow(PartRow):
    """What pixels of one kind come on: a reel, or a string of so many nodes."""

    reel: PositiveLength | None = Field(default=None, description="length of one reel of strip")
    nodes: Count | None = Field(default=None, description="pixels of one string")
    price: Price | None = Field(default=None, description="of one reel or string")


class BarRow(StrictModel):
    """A length of channel."""

    length: PositiveLength
    price: Price | None = Field(default=None, description=_ASKED)


class ProfileRow(PartRow):
    """A mounting channel and what belongs to it."""

    bars: list[BarRow] = Field(default=[], description="left out: there is no channel")
    covered: bool = Field(default=True, description="every bar needs a cover")
    cover: Price | None = Field(default=None, description="price of the cover of one bar")
    end_cap: Price | None = Field(default=None, description="price of one")
    clips_every: PositiveLength | None = Field(default=None, description="distance of the clips")
    clip: Price | None = Field(default=None, description="price of one")


class SmallRow(PartRow):
    """A small part."""

    price: Price | None = Field(default=None, description=_ASKED)


class EnclosureRow(PartRow):
    """A box."""

    part: Text
    supplies: Count = Field(default=1, description="supplies it has room for")
    price: Price | None = Field(default=None, description=_ASKED)


class ControllerRow(PartRow):
    """A pixel controller."""

    part: Text
    outputs: Count
    pixels: Count = Field(description="in all")
    price: Price | None = Field(default=None, description=_ASKED)


class WorkRow(StrictModel):
    """Minutes of work, and what an hour costs."""

    hourly: Price | None = Field(default=None, description=_ASKED)
    joint_min: Minutes | None = Field(
        default=None, description="one joint between lengths of strip"
    )
    feed_min: Minutes | None = Field(default=None, description="one wire brought to a run")
    cut_min: Minutes | None = Field(
        default=None, description="one cut of a run, where + is interrupted"
    )
    saw_min: Minutes | None = Field(default=None, description="one cut of the saw")
    metre_min: Minutes | None = Field(default=None, description="one metre of run put up")
    source: str | None = None


class ConnectorRows(StrictModel):
    """What joins things."""

    strip_joint: SmallRow = Field(
        default_factory=SmallRow, description="two lengths of strip in one run"
    )
    feed_plug: SmallRow = Field(default_factory=SmallRow, description="a wire and a run")
    data_plug: SmallRow = Field(
        default_factory=SmallRow, description="a data lead and the run it starts"
    )
    junction: SmallRow = Field(
        default_factory=SmallRow, description="the wires of one conductor of a junction"
    )


class PartsFile(StrictModel):
    """What can be bought and what work costs. What is left out counts without a price."""

    format: Literal["evenfall-parts/1"]
    currency: OneLine | None = Field(
        None, min_length=1, max_length=8, description="how sums are marked, such as USD or €"
    )
    note: OneLine = Field(default="", description="where the prices are from, and of when")
    units: Literal["m", "cm", "mm", "ft", "in"] = Field(default="m", description="of bare lengths")
    supplies: list[SupplyRow] = Field(default=[])
    wire: list[WireRow] = Field(default=[])
    kinds: dict[str, KindRow] = Field(default={}, description="by kind of pixel")
    profiles: dict[str, ProfileRow] = Field(default={}, description="by mounting channel")
    fuse: SmallRow = Field(default_factory=SmallRow)
    fuse_holder: SmallRow = Field(default_factory=SmallRow)
    connectors: ConnectorRows = Field(default_factory=ConnectorRows)
    enclosures: list[EnclosureRow] = Field(default=[])
    controllers: list[ControllerRow] = Field(default=[])
    work: WorkRow = Field(default_factory=WorkRow)
    spares: Annotated[float, Field(ge=0, le=1)] | None = Field(
        None, description="share of pixels and small parts bought to lie in a drawer, 0 to 1"
    )
    slack: Length | None = Field(
        default=None,
        description="extra wire that `plan` counts at each end; a house file's lengths include it",
    )
    kerf: Length | None = Field(default=None, description="what the saw takes at every cut")
