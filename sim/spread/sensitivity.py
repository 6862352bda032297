"""Which unknown matters most for a figure, and what measuring it would leave of the band.

The uncertainty budget of JCGM 100:2008 (5.1.2, 5.2.2, and table H.1 of its example): the share of
an unknown is its part of u². Of unknowns that do not go together it is what the law of total
variance takes away when the unknown gets known: Var(Y) = E[Var(Y|X)] + Var(E[Y|X]). What a
measurement leaves is drawn: the sum of all effects once more, with that unknown as good as a meter
is.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TYPE_CHECKING

import numpy as np

from layouts.spread import Distribution

from .bands import USUAL, symmetric
from .draws import common_draws
from .figures import Head
from .first_order import SUMMED, FirstOrder
from .shapes import quantile
from .unknowns import Unknown

if TYPE_CHECKING:
    from .study import Study

#: Unknowns of which it is worked out what measuring them would leave.
FIVE = 5

#: What is left unknown of a factor once it is measured: half of a rectangular width, of factors
#: that multiply as a share of their value, of those that add as it is. Hand-held meters: volts
#: ±0.5 %, amperes ±1.5 % [common practice, no source]; both for a resistance. A lux meter ±10 %
#: (class B of DIN 5032-7 [from memory]). A trimmed supply ±0.5 % [from memory].
LEFT: Mapping[str, float] = MappingProxyType(
    {
        "wire_ohm": 0.02,
        "rail_ohm": 0.02,
        "supply_v": 0.005,
        "supply_droop": 0.002,
        "efficiency": 0.02,
        "current": 0.015,
        "flux_r": 0.10,
        "flux_g": 0.10,
        "flux_b": 0.10,
        "flux_w": 0.10,
        "flux_c": 0.10,
        "vf_r": 0.1,
        "vf_g": 0.1,
        "vf_b": 0.1,
        "vf_w": 0.1,
        "vf_c": 0.1,
    }
)
_ADDS = ("vf_", "nm_", "supply_droop")
_LIGHT = ("flux_", "nm_", "efficiency")


@dataclass(frozen=True)
class Contribution:
    """What one unknown does to a figure."""

    unknown: Unknown | None  # None: what pixels have of their own, and what bends
    share: float  # of u², 0..1
    left: float | None  # width of the band once it is measured; None: not to be measured


@dataclass(frozen=True, eq=False)
class Budget:
    """The unknowns of one figure, the largest share first."""

    head: Head
    width: float  # of its 95 % band, as drawn
    contributions: tuple[Contribution, ...]

    @property
    def best(self) -> Contribution | None:
        """The one whose measurement narrows the band most; None where none does."""
        able = [each for each in self.contributions if each.left is not None]
        return min(able, key=lambda each: each.left or 0.0, default=None)


def budgets(found: Study) -> tuple[Budget, ...]:
    """One budget for every figure that has a band at all; five unknowns each."""
    first = _with_the_rest(found)
    common = common_draws(found.known, SUMMED, found.seed)
    own = np.random.default_rng([found.seed, 7]).standard_normal((SUMMED, 1))
    usual = first.sums(common, own)
    made = []
    for column, figure in enumerate(found.figures):
        width = figure.band.high - figure.band.low
        if not width > 1e-9 * max(1.0, abs(figure.band.mean)):
            continue
        most = 1.0 if figure.head.key == "brightness_ceiling" else np.inf
        before = _width(np.minimum(usual[:, column], most))
        shares = first.budget[:, column]
        told = []
        for at in np.argsort(-shares, kind="stable")[:FIVE].tolist():
            if at == len(found.known.common):
                told.append(Contribution(None, float(shares[at]), None))
                continue
            unknown, left = found.known.common[at], None
            measured = measured_values(unknown)
            if measured is not None and before > 0:
                known = common.copy()
                known[:, at] = measured
                moved = first.some(np.array([column])).sums(known, own)[:, 0]
                after = _width(np.minimum(moved, most))
                left = width * min(after / before, 1.0)
            told.append(Contribution(unknown, float(shares[at]), left))
        made.append(Budget(figure.head, width, tuple(told)))
    return tuple(made)


def measured_values(unknown: Unknown) -> np.ndarray | None:
    """(draws,) of an unknown once it is measured as its mean; None where a meter tells no more."""
    half = LEFT.get(unknown.factor)
    if half is None:
        return None
    middle = unknown.shape.mean
    if not unknown.factor.startswith(_ADDS):
        half *= middle
    left = Distribution("rectangular", middle - half, middle + half)
    if left.sd >= unknown.shape.sd:
        return None
    return quantile(left, np.random.default_rng(5).random(SUMMED))


def _width(values: np.ndarray) -> float:
    low, high = symmetric(np.sort(values), USUAL)
    return high - low


def _with_the_rest(found: Study) -> FirstOrder:
    """First order of all figures; of those it leaves out, a straight line through the draws."""
    first = found.first
    rest = [each.values for each in found.figures[first.slope.shape[1] :]]
    if not rest:
        return first
    common = common_draws(found.known, found.draws, found.seed)
    off = common - found.known.means
    values = np.column_stack(rest)
    # What neither current nor voltage knows of would only be told the noise of the draws.
    used = (found.known.sds > 0) & np.array(
        [not each.factor.startswith(_LIGHT) for each in found.known.common], dtype=bool
    )
    table = np.column_stack([np.ones(len(off)), off[:, used]])
    solved = np.linalg.lstsq(table, values, rcond=None)[0]
    slope = np.zeros((len(used), values.shape[1]))
    slope[used] = solved[1:]
    left = (values - table @ solved).std(axis=0, ddof=min(table.shape[1], len(table) - 1))
    return FirstOrder(
        known=first.known,
        at_means=np.concatenate([first.at_means, solved[0]]),
        at_sheet=np.concatenate([first.at_sheet, solved[0]]),
        slope=np.hstack([first.slope, slope]),
        bend=np.hstack([first.bend, np.zeros_like(slope)]),
        own_sd=np.concatenate([first.own_sd, left]),
        curve=np.hstack([first.curve, np.repeat([[0.0], [1.0], [0.0]], len(left), axis=1)]),
        rest_sd=np.concatenate([first.rest_sd, left]),
    )
