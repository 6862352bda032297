"""`spread:` of a house file as it may be written."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field, model_validator

from layouts.quantities import Name
from layouts.strict import StrictModel

_Number = Annotated[float, Field(ge=-1000, le=1000)]
_Above = Annotated[float, Field(gt=0, le=1000)]


def _rising(pair: list[float]) -> list[float]:
    if pair[0] > pair[1]:
        raise ValueError(
            f"from {pair[0]:g} to {pair[1]:g} is a negative spread; write the lower first"
        )
    return pair


def _spread(pair: list[float]) -> list[float]:
    if pair[1] < 0:
        raise ValueError(f"a standard deviation of {pair[1]:g} is negative; write 0 or more")
    return pair


_Pair = Annotated[list[_Number], Field(min_length=2, max_length=2), AfterValidator(_rising)]
_Above2 = Annotated[list[_Above], Field(min_length=2, max_length=2), AfterValidator(_rising)]
_MeanSd = Annotated[list[_Number], Field(min_length=2, max_length=2), AfterValidator(_spread)]


class ShapeEntry(StrictModel):
    """One distribution: exactly one of these."""

    rectangular: _Pair | None = Field(None, description="low and high, all between alike")
    triangular: _Pair | None = Field(None, description="low and high, the middle most likely")
    normal: _MeanSd | None = Field(None, description="mean and standard deviation")
    log_uniform: _Above2 | None = Field(None, description="low and high, every ratio alike")
    exact: _Number | None = Field(None, description="known: measured, or left out of account")

    @model_validator(mode="after")
    def _one(self) -> ShapeEntry:
        given = [name for name in type(self).model_fields if getattr(self, name) is not None]
        if len(given) != 1:
            told = " and ".join(given) or "none"
            names = ", ".join(type(self).model_fields)
            raise ValueError(f"one distribution is needed, found {told}; write one of {names}")
        return self


class ShapesEntry(StrictModel):
    """The factors by name; what is left out is as the catalogue has it."""

    wire_ohm: ShapeEntry | None = None
    rail_ohm: ShapeEntry | None = None
    supply_v: ShapeEntry | None = None
    supply_droop: ShapeEntry | None = None
    efficiency: ShapeEntry | None = None
    current: ShapeEntry | None = None
    current_each: ShapeEntry | None = None
    flux_r: ShapeEntry | None = None
    flux_g: ShapeEntry | None = None
    flux_b: ShapeEntry | None = None
    flux_w: ShapeEntry | None = None
    flux_c: ShapeEntry | None = None
    flux_each: ShapeEntry | None = None
    nm_r: ShapeEntry | None = None
    nm_g: ShapeEntry | None = None
    nm_b: ShapeEntry | None = None
    vf_r: ShapeEntry | None = None
    vf_g: ShapeEntry | None = None
    vf_b: ShapeEntry | None = None
    vf_w: ShapeEntry | None = None
    vf_c: ShapeEntry | None = None


class CorrelationEntry(StrictModel):
    """How two factors of the same part go together."""

    between: Annotated[list[str], Field(min_length=2, max_length=2)]
    r: Annotated[float, Field(ge=-1, le=1)]


class SpreadEntry(StrictModel):
    """How far the parts of this house differ from their sheets."""

    factors: ShapesEntry = ShapesEntry()
    correlations: list[CorrelationEntry] = Field([], description="of factors of the same part")
    reels: list[Annotated[list[Name], Field(min_length=1)]] = Field(
        [], description="runs cut from one reel; without it one reel for every kind"
    )

    @classmethod
    def nothing(cls) -> SpreadEntry:
        """Where the file says nothing."""
        return cls(correlations=[], reels=[])
