"""Which page of choosing stands open, and what is pointed at there."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Page = Literal["schemes", "layers", "palettes", "effects", "zones"]


@dataclass(frozen=True)
class Choosing:
    """The page that stands open."""

    page: Page
    layer: int = 0  # which layer it is about
    at: str | None = None  # the part that is pointed at
    tried: str | None = None  # a palette or effect that the house shows for now
    alone: bool = False  # the drawer was shut before, and is again when the page is left
    typed: str = ""  # what is looked for
    scroll: float = 0.0  # [px at 100 %]
    within: bool = False  # opened from the list of layers, and leads back there
