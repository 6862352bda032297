"""The shape of the files this package reads, as pydantic models."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

from layouts.quantities import In, OneLine

Share = Annotated[float, Field(ge=0, le=1), In("", "60 %")]
Seconds = Annotated[float, Field(ge=0, le=86_400), In("s", "20 ms")]
#: So many colours one after the other are told apart by nobody; so many zones no house has.
MOST_COLOURS, MOST_ZONES = 256, 2000
#: One text, or a list of them.
Zones = str | Annotated[list[str], Field(min_length=1, max_length=MOST_ZONES)]
Colours = str | Annotated[list[str], Field(min_length=1, max_length=MOST_COLOURS)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", strict=True)


class LayerFile(_Strict):
    """One effect with one palette on some zones."""

    zones: Zones = Field(
        default="all",
        description="zones joined in this order to one path; 'name backward' turns one round",
    )
    effect: str = Field(description="see `evenfall list effects`")
    palette: Colours = Field(
        description='a palette\'s name, or colours "#rrggbb", "oklch(L C h)", "3000 K"'
    )
    set: dict[str, Any] = Field(
        default={}, description="the effect's parameters, and direction and seed"
    )
    blend: Literal["over", "add", "lighten", "multiply"] = "over"
    opacity: Share = 1.0
    from_: Seconds | None = Field(
        default=None,
        alias="from",
        description="first second it shows; later than `until`: it shows until then, and again"
        " from here",
    )
    until: Seconds | None = Field(
        default=None,
        description="last second it shows; earlier than `from`: it shows across the scheme's start",
    )
    ease: Seconds = Field(default=0.0, description="seconds it takes to come and to go")


class SchemeFile(_Strict):
    """What the house shows: layers, blended in order."""

    format: Literal["evenfall-scheme/1"]
    name: OneLine
    brightness: Share = 1.0
    colour: Literal["matched", "raw"] = "matched"
    white: Literal["off", "most", "economy", "common"] | Share = Field(
        default="most",
        description="how much of a colour white LEDs give; of a kind with two, both together",
    )
    gamma: Annotated[float, Field(ge=1, le=4)] = Field(default=2.2, description="under raw only")
    dither: Literal["off", "on"] = "off"
    fps: Annotated[float, Field(ge=1, le=200), In("fps", "40 fps")] = 40.0
    seconds: Annotated[float, Field(gt=0, le=86_400), In("s", "90 s")] | None = Field(
        default=None, description="the scheme starts again after so many seconds"
    )
    layers: Annotated[list[LayerFile], Field(min_length=1, max_length=64)]


class PaletteRow(_Strict):
    """A row of colours, where its values come from and what it is for."""

    occasion: str
    colours: Annotated[list[str], Field(min_length=1, max_length=32)]
    source: Annotated[str, Field(min_length=1)]
    note: str = ""


class PaletteFile(_Strict):
    """A file of the palettes that come with Evenfall."""

    format: Literal["evenfall-palettes/1"]
    palettes: dict[str, PaletteRow]
