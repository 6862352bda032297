"""The model of the faults file: what may be written, with what meaning."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, ConfigDict, Field, WithJsonSchema

from layouts.faults import COLOUR, KINDS
from layouts.quantities import In
from layouts.schema import StrictModel


def _colour(value: str) -> str:
    if not COLOUR.fullmatch(value):
        raise ValueError(f"'{value}' is not a colour; write its codes like '#ff8000'")
    return value


_AT = {"type": "string", "examples": ["gable[40]", "gable.start", "gable@2 m", "loft → gable[70]"]}
_PIXELS = {"type": "string", "examples": ["gable[3]", "gable[3:6]"]}

At = Annotated[str, WithJsonSchema(_AT)]
PixelsText = Annotated[str, WithJsonSchema(_PIXELS)]
FaultOhms = Annotated[float, Field(ge=0, le=10_000), In("Ω", "300 mΩ")]
FaultVolts = Annotated[float, Field(ge=0, le=60), In("V", "4.2 V")]
FaultSeconds = Annotated[float, Field(gt=0, le=3600), In("s", "300 ms")]
Code = Annotated[
    str, AfterValidator(_colour), WithJsonSchema({"type": "string", "pattern": COLOUR.pattern})
]


def _one_of(schema: dict[str, Any]) -> None:
    schema["oneOf"] = [{"required": [kind]} for kind in KINDS]


class FaultEntry(StrictModel):
    """One thing broken. Positions number pixels; a conductor breaks before a position."""

    model_config = ConfigDict(json_schema_extra=_one_of)

    dark: PixelsText | None = Field(None, description="gives no light, passes data on")
    dead: PixelsText | None = Field(None, description="gives neither light nor data")
    stuck: PixelsText | None = Field(None, description="shows one colour whatever it is sent")
    open: Literal["plus", "minus", "data"] | None = Field(
        None, description="a conductor that is interrupted, at `at`"
    )
    joint: At | None = Field(None, description="a wet or loose joint before that position")
    short: At | None = Field(None, description="+ and − touch there, through `ohm`")
    blown: At | None = Field(None, description="the fuse of that wire has opened")
    off: str | None = Field(None, description="a supply that gives nothing")
    sag: str | None = Field(None, description="a supply that gives only `volts`")
    hiccup: str | None = Field(None, description="a supply that goes off and on again")
    garbage: PixelsText | None = Field(None, description="from there on data is garbled")
    at: At | None = Field(None, description="where; with `open`")
    ohm: FaultOhms | None = Field(None, description="[Ω] with `joint` and `short`")
    conductor: Literal["plus", "minus"] | None = Field(
        None, description="with `joint`: only this one; else both"
    )
    volts: FaultVolts | None = Field(None, description="[V] with `sag`")
    colour: Code | None = Field(None, description="with `stuck`: its codes, #rrggbb")
    on: FaultSeconds | None = Field(None, description="[s] with `hiccup`; 0.1 if not given")
    pause: FaultSeconds | None = Field(None, description="[s] with `hiccup`; 0.9 if not given")


class FaultsFile(StrictModel):
    """What of a house is broken."""

    format: Literal["evenfall-faults/1"]
    note: str = ""
    faults: list[FaultEntry]
