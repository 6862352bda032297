"""How far the levels on a data line are from being misread, hop by hop.

All potentials against one reference, V₊ and V₋ those of the pixel, VDD = V₊ − V₋:

    high   M_H = (what the sender gives for a one) − V₋ − (threshold of the receiver)
    low    M_L = V₋ + (threshold of the receiver) − (V₋ of the sender + V_OL)

A sender's one is its own V₊, or so many volts over its V₋ where it has a regulator; a controller's
is its logic level over its own −. Thresholds are shares of the receiver's VDD, or volts. What
enters an input may be at most half a volt beyond its supplies, or its clamp diodes carry it.

The − of pieces that no − conductor joins are taken to be joined at their supplies.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.logic import LogicLevel
from layouts.records import House
from sim.circuit import Solution

from .signal import Chains

#: [V] a driver gives for a zero, and loses at a one, into inputs that draw a microampere: 74HCT125,
#: VOH 4.4 V at 20 µA and 4.5 V [datasheet]; the zero by symmetry [calc].
LOW_OUT_V = 0.1
#: [V] beyond the supplies of an input that it bears: WS2812B, −0.5 to VDD + 0.5 V [datasheet].
BEYOND_V = 0.5


@dataclass(frozen=True, eq=False)
class HopLevels:
    """Margins (T, P) [V] of the hop into each pixel of the chains; NaN where it is not known."""

    high_v: np.ndarray
    low_v: np.ndarray
    given_v: np.ndarray  # what is sent for a one
    zero_v: np.ndarray  # the − of the sender
    minus_v: np.ndarray  # of the receiver
    logic_v: np.ndarray  # what the receiver's logic runs on

    @property
    def over_v(self) -> np.ndarray:
        """Left until the input is lifted beyond its supply."""
        return self.minus_v + self.logic_v + BEYOND_V - self.given_v

    @property
    def under_v(self) -> np.ndarray:
        """Left until it is pulled below its −."""
        return self.zero_v + BEYOND_V - self.minus_v


def high_margin_v(
    one_v: np.ndarray, minus_v: np.ndarray, vdd_v: np.ndarray, high: LogicLevel
) -> np.ndarray:
    """[V] by which a one is above what a pixel with these supplies reads as one."""
    return one_v - minus_v - high.volts(np.asarray(vdd_v, dtype=float))


def low_margin_v(
    zero_v: np.ndarray, minus_v: np.ndarray, vdd_v: np.ndarray, low: LogicLevel
) -> np.ndarray:
    """[V] by which a zero is below what a pixel with these supplies reads as zero."""
    return minus_v + low.volts(np.asarray(vdd_v, dtype=float)) - zero_v


def hop_levels(house: House, line: Chains, solution: Solution) -> HopLevels:
    """The margins of every hop while the volts are those of `solution` (T frames)."""
    at = line.pixel
    vdd, minus = solution.volts[:, at], solution.minus_v[:, at]
    begin = np.flatnonzero(line.first | line.joins)
    length = np.diff(np.append(begin, len(at)))
    out, given = np.empty(vdd.shape), np.empty(vdd.shape)
    high, low = np.empty(vdd.shape), np.empty(vdd.shape)
    kinds = [house.runs[r].kind for r in house.pixels.run[at[begin]]]
    for first, count, kind in zip(begin.tolist(), length.tolist(), kinds, strict=True):
        part = (slice(None), slice(first, first + count))
        out[part] = kind.data_out.volts(vdd[part])
        high[part] = kind.data_high.volts(vdd[part])
        low[part] = kind.data_low.volts(vdd[part])
    given[:, 1:], zero = (minus + out)[:, :-1], np.roll(minus, 1, axis=1)
    start = np.flatnonzero(line.first)
    given[:, start] = zero[:, start] = np.nan
    for p, (one_v, zero_v) in controller_v(house, line, solution).items():
        given[:, p], zero[:, p] = one_v, zero_v
    return HopLevels(
        high_v=given - minus - high,
        low_v=minus + low - zero - LOW_OUT_V,
        given_v=given,
        zero_v=zero,
        minus_v=minus,
        logic_v=np.minimum(vdd, out),
    )


def controller_v(
    house: House, line: Chains, solution: Solution
) -> dict[int, tuple[np.ndarray, np.ndarray]]:
    """[V] (T,) of a port's one and of its −, by the place of the first pixel of the chain.

    Only of those whose `logic_v` is known. Its − is that of `common_minus`, or of the supply that
    the first pixel is fed by.
    """
    found = {}
    for p in np.flatnonzero(line.first).tolist():
        output = house.outputs[line.output[p]] if line.output[p] >= 0 else None
        if output is None or output.logic_v is None:
            continue
        ground = np.zeros(len(solution.state))
        if output.common_minus is not None:
            ground = _terminal_minus_v(house, solution, output.common_minus)
        found[p] = (ground + output.logic_v, ground)
    return found


def _terminal_minus_v(house: House, solution: Solution, supply: str) -> np.ndarray:
    """(T,) [V] of the − of a supply over the reference of what it is joined to."""
    net = solution.network.topology
    s = [each.name for each in house.supplies].index(supply)
    return np.asarray(solution.node_minus_v[:, net.free + s])
