"""The model of the sightings file: what may be written, with what meaning."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import ConfigDict, Field, WithJsonSchema

from layouts.quantities import In
from layouts.schema import StrictModel
from layouts.sightings import SEEN_KEYS

_PIXELS = {"type": "string", "examples": ["gable[3]", "gable[75:389]", "eave-left", "all"]}
_AT = {"type": "string", "examples": ["gable.end", "gable[70]", "loft", "porch-joint", "wall"]}

StretchText = Annotated[str, WithJsonSchema(_PIXELS)]
PointText = Annotated[str, WithJsonSchema(_AT)]
# Nonsense is refused where the house is known, so that the refusal can say why.
SeenVolts = Annotated[float, Field(ge=-1000, le=1000), In("V", "4.31 V")]
SeenOhms = Annotated[float, Field(ge=-1000, le=1e9), In("Ω", "310 mΩ")]
SeenWatts = Annotated[float, Field(ge=-100_000, le=100_000), In("W", "53 W")]


def _one_of(schema: dict[str, Any]) -> None:
    schema["oneOf"] = [{"required": [key]} for key in SEEN_KEYS]


class SeenEntry(StrictModel):
    """One thing seen, measured or tried."""

    model_config = ConfigDict(json_schema_extra=_one_of)

    dark: StretchText | None = Field(None, description="pixels that give no light")
    lit: StretchText | None = Field(None, description="pixels that are as they should be")
    wrong: StretchText | None = Field(None, description="pixels of a wrong colour or too dim")
    flickers: StretchText | None = Field(None, description="pixels that flicker or jump about")
    onwards: bool = Field(
        False, description="with a look: from there on to the end of its data chain"
    )
    volts: SeenVolts | None = Field(None, description="[V] DC between + and −, at `at`")
    watts: SeenWatts | None = Field(None, description="[W] on a plug-in meter; `at: wall`")
    ohms: SeenOhms | None = Field(
        None,
        description="[Ω] between + and −, at `at`, everything unplugged; 20 or more: no short",
    )
    at: PointText | None = Field(
        None, description="where; with `volts`, `ohms`, `watts` and `continuity`"
    )
    bridge: PointText | None = Field(
        None, description="data led to that pixel from the last one that works"
    )
    swap: str | None = Field(
        None, description="the output whose data lead was put on a port known to be good"
    )
    fuse: str | None = Field(
        None, description="a wire whose fuse was looked at, `loft → gable[70]`"
    )
    new_fuse: str | None = Field(
        None, description="a wire whose blown fuse was replaced by one of its rating, once"
    )
    continuity: Literal["plus", "minus", "data"] | None = Field(
        None,
        description="a conductor checked with an ohmmeter, unplugged and with no other way round:"
        " into the pixel `at` from the one before it, or of the wire `at` from end to end",
    )
    then: Literal["lit", "dark", "whole", "blown", "holds", "blows", "open"] | None = Field(
        None,
        description="what came of it: lit or dark; of a fuse: whole or blown; of a new one: holds"
        " or blows; of continuity: whole or open",
    )
    during: Literal["scheme", "white", "off"] = Field(
        "scheme",
        description="what was shown: the scheme, every channel of every pixel at half, or nothing",
    )


class SightingsFile(StrictModel):
    """What was seen and measured on a house that is not as it should be."""

    format: Literal["evenfall-sightings/1"]
    note: str = ""
    scheme: str | None = Field(
        None, description="the scheme file shown, from this file's folder; left out: white"
    )
    seen: list[SeenEntry]
