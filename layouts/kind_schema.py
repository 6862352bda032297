"""The models of a kind of pixel, as a house file or the catalogue writes it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from layouts.quantities import (
    Degrees,
    Hertz,
    HopMetres,
    IdleMilliamps,
    Kelvins,
    LevelText,
    Lumens,
    Microseconds,
    Milliamps,
    Nanometres,
    PauseMicroseconds,
    Pitch,
    RailOhms,
    ResistorOhms,
    Share,
    Volts,
    Width,
    WireText,
)
from layouts.records import Boots, PixelLaw
from layouts.strict import StrictModel
from layouts.warming_schema import WarmEntries


class ChannelEntry(StrictModel):
    """One colour of a kind: `nm` and `fwhm_nm` for a colour, `cct` for a phosphor white."""

    ma: Milliamps | None = Field(None, description="current [mA] at full duty")
    vf: Volts | None = Field(None, description="forward voltage [V] as wired")
    nm: Nanometres | None = Field(None, description="dominant wavelength [nm]")
    cct: Kelvins | None = Field(None, description="correlated colour temperature [K]")
    fwhm_nm: Width | None = Field(None, description="spectral width at half height [nm]")
    lm: Lumens | None = Field(None, description="luminous flux [lm] of one pixel at full duty")
    resistor_ohm: ResistorOhms | None = Field(None, description="of its own resistor, law resistor")


class ChannelsEntry(StrictModel):
    """The colours of a kind."""

    r: ChannelEntry | None = None
    g: ChannelEntry | None = None
    b: ChannelEntry | None = None
    w: ChannelEntry | None = None
    c: ChannelEntry | None = Field(None, description="the cool white where w is the warm one")


class DataEntry(StrictModel):
    """Levels of the data line, over the − of the pixel: volts, or a share of its own supply."""

    high: LevelText | None = Field(None, description="read as a one from here up")
    low: LevelText | None = Field(None, description="read as a zero up to here")
    out: LevelText | None = Field(None, description="given to the next pixel for a one")


class SetCurrentEntry(StrictModel):
    """Currents [mA] that a part can be set to, as its strongest channel has them."""

    least: Milliamps
    most: Milliamps
    step: Milliamps


class KindEntry(StrictModel):
    """A kind of pixel; with `like`, only what differs."""

    like: str | None = Field(None, description="the kind this one starts from")
    channels: ChannelsEntry | None = Field(None, description="r, g, b, w and c, those there are")
    volts: Volts | None = Field(None, description="nominal supply [V]")
    law: PixelLaw | None = Field(
        None,
        description="series: one current through all dies, as long as the longest is lit;"
        " staggered: the same, their times one after another; resistor: each colour behind one;"
        " regulator: each node makes its own voltage",
    )
    resistor_ohm: ResistorOhms | None = Field(None, description="before each colour, law resistor")
    dropout_v: Volts | None = Field(None, description="volts the regulator needs above its own")
    regulator_ma: IdleMilliamps | None = Field(None, description="current of the regulator itself")
    efficiency: Share | None = Field(
        None, description="of a step-down regulator; without it the regulator is linear"
    )
    regulated_v: Volts | None = Field(None, description="what the regulator gives, usually 5 V")
    headroom_v: Volts | None = Field(None, description="volts the driver needs above VF")
    idle_ma: IdleMilliamps | None = Field(None, description="current [mA] of a dark pixel")
    idle_resistor: bool | None = Field(
        None, description="its logic is fed through a resistor: idle_ma at volts, less below"
    )
    min_v: Volts | None = Field(None, description="below this the data logic is not trusted")
    max_v: Volts | None = Field(None, description="more than this at its terminals harms it")
    boots: Boots | None = Field(None, description="what it shows with power and without data")
    set_ma: SetCurrentEntry | None = Field(
        None, description="currents it can be set to; a run's own set_ma is one of them"
    )
    bits: Annotated[int, Field(ge=8, le=128)] | None = Field(
        None, description="of one pixel on the data line"
    )
    bit_us: Microseconds | None = Field(None, description="length [µs] of one bit")
    frame_bits: Annotated[int, Field(ge=0, le=4096)] | None = Field(
        None, description="on the data line once a frame, beside those of the pixels"
    )
    clock_line: bool | None = Field(None, description="data and clock on two wires")
    levels: Literal[256, 65536] | None = Field(
        None, description="of a channel on the data line; 65536 are 16 bits"
    )
    reset_us: PauseMicroseconds | None = Field(None, description="pause [µs] that ends a frame")
    order: str | None = Field(None, description="of the channels on the data line, e.g. grb")
    pwm_hz: Hertz | None = Field(None, description="how often a second the light is switched")
    backup_data: bool | None = Field(None, description="data goes on past one dead pixel")
    data: DataEntry | None = Field(None, description="levels of the data line")
    warm: WarmEntries | None = Field(None, description="temperature coefficients by channel")
    data_hop_m: HopMetres | None = Field(
        None, description="greatest distance [m] between pixels that data crosses unaided"
    )
    per_metre: Annotated[float, Field(gt=0, le=1 / 0.0005)] | None = Field(
        None, description="pixels a metre, instead of pitch"
    )
    pitch: Pitch | None = Field(None, description="from pixel to pixel")
    rail_ohm_per_m: RailOhms | None = Field(
        None, description="of each of + and −, at 20 °C; a string may give its wire instead"
    )
    wire: WireText | None = Field(None, description="of a string's leads")
    mount: Literal["strip", "string"] | None = Field(None, description="tape, or wire leads")
    leds_per_pixel: Annotated[int, Field(ge=1, le=100)] | None = Field(
        None, description="packages on one address"
    )
    beam_half_deg: Degrees | None = Field(
        None, description="angle at which the intensity has halved"
    )
