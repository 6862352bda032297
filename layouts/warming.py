"""What a kind's own sheet says of its channels in cold and heat, as `warm:` of a kind has it.

    kinds:
      mine: {like: ws2812b, warm: {r: {vf_mv_per_k: 1.8, t1_k: [90, 100]}}}

What a kind does not say is as in the rates for cold and heat.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True)
class Warming:
    """Temperature coefficients of one channel against 25 °C; None where the kind says nothing."""

    vf_mv_per_k: float | None = None  # by which its forward voltage falls
    t1_k: tuple[float, float] | None = None  # of exp(−(T − 25)/T₁), least and most
    nm_per_k: tuple[float, float] | None = None  # by which its wavelength grows


def warming_of(entry: Mapping[str, Any]) -> dict[str, Warming]:
    """The coefficients of a merged kind entry, channel by channel."""

    def pair(value: Any) -> tuple[float, float] | None:
        return None if value is None else (float(value[0]), float(value[1]))

    return {
        name: Warming(said.get("vf_mv_per_k"), pair(said.get("t1_k")), pair(said.get("nm_per_k")))
        for name, said in entry.items()
    }
