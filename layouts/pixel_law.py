"""How the current of a part follows duties and voltage; the laws stand in `sim.circuit.law`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

#: How the current of a pixel follows its duties and its voltage; `sim.circuit.law` has the laws.
PixelLaw = Literal["parallel", "series", "staggered", "resistor", "regulator"]


@dataclass(frozen=True)
class Regulator:
    """What a node makes its own voltage with: linear, or step-down where `efficiency` is given."""

    dropout_v: float  # least difference of what it is fed with and what it gives
    own_ma: float  # what it takes itself
    efficiency: float | None = None  # 0..1 of a step-down regulator; None: a linear one
    gives_v: float = 5.0
