"""Rates of cold, heat and years: one table, every row with its source, and a user's own over it."""

from __future__ import annotations

import os
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Field

from layouts.files.document import check, read
from layouts.quantities import Celsius, rising
from layouts.schema import StrictModel

_Positive = Annotated[float, Field(gt=0, le=1e6)]
_NotBelow = Annotated[float, Field(ge=0, le=1000)]
Span = Annotated[list[_NotBelow], Field(min_length=2, max_length=2), AfterValidator(rising)]
_Spread = Annotated[list[_Positive], Field(min_length=2, max_length=2), AfterValidator(rising)]
_Rated = Annotated[list[Celsius], Field(min_length=2, max_length=2), AfterValidator(rising)]


class ChannelRates(StrictModel):
    """What temperature does to one channel."""

    vf_mv_per_k: _NotBelow
    t1_k: _Spread
    nm_per_k: Span


class LedRates(StrictModel):
    """How light falls with hours."""

    alpha_per_mh: Span = Field(description="α for each million hours")
    b: Annotated[float, Field(gt=0.5, le=1.2)] = 1.0
    hours_per_year: Annotated[float, Field(ge=0, le=8784)] = 1826.0


class CoatRates(StrictModel):
    """How the coat over the pixels yellows."""

    yi_per_year: Span
    mm: Annotated[float, Field(ge=0, le=20)] = 1.0


class CoverRates(StrictModel):
    """How covers of mounting channels yellow."""

    yi_per_year: Span


class DirtRates(StrictModel):
    """What settles."""

    share_per_year: Annotated[
        list[Annotated[float, Field(ge=0, le=0.5)]], Field(min_length=2, max_length=2),
        AfterValidator(rising),
    ]  # fmt: skip


class CapacitorRates(StrictModel):
    """How long a supply's capacitor lasts."""

    hours: _Positive
    rated_c: Celsius
    warmer_by_k: _NotBelow
    most_years: _Positive


class HeatRates(StrictModel):
    """How well channels and packages get rid of their watts."""

    w_m2k: _Spread = Field(description="from a channel to the air [W/(m²·K)]")
    outline_mm: dict[str, _Spread] = Field(description="that gives heat off, by profile [mm]")
    any_outline_mm: _Spread = Field(description="of a profile that is not named [mm]")
    die_k_per_w: _Spread = Field(description="from die to solder [K/W]")


class Rates(StrictModel):
    """Everything that temperature and years do, as ranges [low, high]."""

    format: Literal["evenfall-rates/1"]
    channels: dict[Literal["r", "g", "b", "w", "c"], ChannelRates]
    rated: dict[str, _Rated]
    led: LedRates
    coat: CoatRates
    cover: CoverRates
    dirt: DirtRates
    capacitor: CapacitorRates
    heat: HeatRates
    sources: dict[str, str]

    def of_channel(self, channel: str) -> ChannelRates:
        """The rates of a channel; a cool white that has none of its own is as the warm one."""
        by_name: Mapping[str, ChannelRates] = self.channels  # type: ignore[assignment]
        return by_name["w" if channel == "c" and channel not in by_name else channel]

    def rated_c(self, name: str) -> tuple[float, float] | None:
        """[°C] what a kind or part is rated for; None where nobody says."""
        for known, pair in self.rated.items():
            if name == known or name.startswith(known + "-"):
                return pair[0], pair[1]
        return None


class RatesFile(StrictModel):
    """A user's own rates; what is left out stays as it is."""

    format: Literal["evenfall-rates/1"]
    channels: dict[Literal["r", "g", "b", "w", "c"], ChannelRates] = Field({})
    rated: dict[str, _Rated] = Field({})
    led: LedRates | None = None
    coat: CoatRates | None = None
    cover: CoverRates | None = None
    dirt: DirtRates | None = None
    capacitor: CapacitorRates | None = None
    heat: HeatRates | None = None
    sources: dict[str, str] = Field({})


@cache
def usual_rates() -> Rates:
    """The rates that count where nobody says better."""
    return check(read(Path(__file__).with_name("rates.yaml")), Rates)


def load_rates(path: str | os.PathLike[str] | None) -> Rates:
    """The rates of the file at `path` over the usual ones. Raises InputError."""
    usual = usual_rates()
    if path is None:
        return usual
    own = check(read(path), RatesFile).model_dump(exclude_none=True)
    merged: dict[str, Any] = usual.model_dump()
    for key, value in own.items():
        if isinstance(value, Mapping) and key in ("channels", "rated", "sources"):
            merged[key] = {**value, **{k: v for k, v in merged[key].items() if k not in value}}
        else:
            merged[key] = value
    return Rates.model_validate(merged)
