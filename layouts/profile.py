"""A mounting channel or track, as the catalogue has it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Profile:
    """A mounting channel: what its cover does to the light."""

    name: str
    transmission: float  # of the luminous flux, 0..1
    beam_half_deg: float | None  # None: leaves the pixel's own beam as it is
    spot_m: float  # diameter of the lit patch of the cover, as seen from the street
    mount: Literal["strip", "string"] | None = None  # what it holds; None: either
    wire_bay_mm: tuple[float, float] | None = None  # room beside the pixels, width and height
    bar_m: float | None = None  # length it is sold in
    hole_mm: float | None = None  # of the holes that pixels are pushed into
    hole_pitch_mm: float | None = None  # of a track that comes drilled
    sources: Mapping[str, str] | None = None
    note: str = ""
