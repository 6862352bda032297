"""What is shown of a house being measured: its picture, and what it would need."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True)
class FormFacts:
    """What a house would need."""

    runs: int
    length_m: float
    pixels: int
    full_white_w: float  # every channel of every pixel full, at full voltage
    said: str  # where the amperes are from, with the tag


@dataclass(frozen=True, eq=False)
class FormPicture:
    """(H, W, 3) uint8 of the house; coarse ones are shown enlarged."""

    rgb: np.ndarray
    exact: bool
