"""The shape of a price file."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from layouts.quantities import OneLine
from layouts.schema import StrictModel

Money = Annotated[float, Field(ge=0)]


class Price(StrictModel):
    """What pixels of one kind cost."""

    per_pixel: Money | None = None
    per_metre: Money | None = None


class PriceFile(StrictModel):
    """Prices of pixels by kind."""

    format: Literal["evenfall-prices/1"]
    currency: OneLine
    note: OneLine = ""
    kinds: dict[str, Price]
