"""The shape of a price file."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from layouts.schema import StrictModel

Money = Annotated[float, Field(ge=0)]


class Price(StrictModel):
    """What pixels of one kind cost."""

    per_pixel: Money | None = None
    per_metre: Money | None = None


class PriceFile(StrictModel):
    """Prices of pixels by kind."""

    format: Literal["evenfall-prices/1"]
    currency: str
    note: str = ""
    kinds: dict[str, Price]
