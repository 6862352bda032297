"""Lines as planned and the supplies that their pieces hang on."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from .line_plan import LinePlan, Verdict, pieces, price_of
from .packing import Unit, packed
from .records import Line, Market

#: Share of the price that is no difference.
_NEAR = 0.005


@dataclass(frozen=True, eq=False)
class Fed:
    """One line as planned."""

    line: Line
    plan: LinePlan
    verdict: Verdict


@dataclass(frozen=True, eq=False)
class Proposal:
    """Lines and the units they hang on; a piece is (line, number of its piece)."""

    market: Market
    fed: tuple[Fed, ...]
    units: tuple[Unit, ...]
    pieces: tuple[tuple[int, int], ...]  # what `Unit.pieces` count
    price: float
    lower_bound: float

    @property
    def proven_least(self) -> bool:
        """Whether nothing costs less, but for half a percent.

        The bound is that of wires of their own for every feed: a plan with a trunk can lie below
        it and still not be the least there is.
        """
        near = self.price - self.lower_bound <= _NEAR * self.price
        return near and not any(fed.plan.trunks for fed in self.fed)

    def unit_of(self, line: int, pad: int) -> int:
        """The number of the unit that feeds a pad."""
        at = next(
            n
            for n, (first, end) in enumerate(pieces(self.fed[line].line, self.fed[line].plan))
            if first <= pad < end
        )
        piece = self.pieces.index((line, at))
        return next(u for u, unit in enumerate(self.units) if piece in unit.pieces)


def piece_amps(fed: tuple[Fed, ...] | list[Fed]) -> tuple[list[tuple[int, int]], np.ndarray]:
    """Every piece as (line, number), and its amperes (P, F)."""
    names, amps = [], []
    for number, each in enumerate(fed):
        for at, (first, end) in enumerate(pieces(each.line, each.plan)):
            names.append((number, at))
            amps.append(each.line.demand_a[:, first:end].sum(axis=1))
    return names, np.array(amps)


def with_units(
    fed: list[Fed],
    market: Market,
    known: dict[tuple[bytes, tuple[int, ...]], tuple[tuple[Unit, ...], float] | None] | None = None,
) -> Proposal | None:
    """Units for all pieces, place by place and voltage by voltage; `known` remembers some."""
    names, amps = piece_amps(fed)
    choice = np.empty(len(names), dtype=int)
    for row, (number, at) in enumerate(names):
        first, end = pieces(fed[number].line, fed[number].plan)[at]
        choice[row] = next(f.supply for f in fed[number].plan.feeds if first <= f.pad < end)
    supplies = market.supplies
    spot = [(s.place, s.volts) for s in supplies]
    units: list[Unit] = []
    price = sum(price_of(f.line, market, f.plan, f.verdict.fuse) for f in fed)
    for here in dict.fromkeys(spot[k] for k in choice):
        mine = np.flatnonzero([spot[k] == here for k in choice])
        # Reach and losses were counted for the supply chosen; only its like may stand in for it.
        own = {spot_k for spot_k in range(len(supplies)) if spot[spot_k] == here}
        key = (amps[mine].tobytes(), tuple(sorted(own)))
        if known is None or key not in known:
            got = packed(amps[mine], sorted(own), supplies, market.rules.supply_load)
            if known is not None:
                known[key] = got
        else:
            got = known[key]
        if got is None:
            return None
        units += [Unit(u.choice, tuple(int(mine[p]) for p in u.pieces)) for u in got[0]]
        price += got[1]
    # The feeds follow their units, which may be another size at the same place.
    follow = {piece: unit.choice for unit in units for piece in unit.pieces}
    moved = []
    for number, each in enumerate(fed):
        bounds = pieces(each.line, each.plan)
        feeds = tuple(
            replace(f, supply=follow[names.index((number, _piece_at(bounds, f.pad)))])
            for f in each.plan.feeds
        )
        plan = replace(each.plan, feeds=feeds)
        moved.append(replace(each, plan=plan))
    return Proposal(market, tuple(moved), tuple(units), tuple(names), float(price), 0.0)


def _piece_at(bounds: list[tuple[int, int]], pad: int) -> int:
    return next(n for n, (first, end) in enumerate(bounds) if first <= pad < end)
