"""The shape of a price file."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

Money = Annotated[float, Field(ge=0)]


class Price(BaseModel):
    """What pixels of one kind cost."""

    model_config = ConfigDict(extra="forbid")

    per_pixel: Money | None = None
    per_metre: Money | None = None


class PriceFile(BaseModel):
    """Prices of pixels by kind."""

    model_config = ConfigDict(extra="forbid")

    format: Literal["evenfall-prices/1"]
    currency: str
    note: str = ""
    kinds: dict[str, Price]
