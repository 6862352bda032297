"""The plan of a whole house: lines fed, pieces packed into supplies, all of it tried exactly.

`propose` searches with the ladders of single lines, where a supply's own resistance is a loss taken
to be known and supplies do not meet. Then the whole house is wired as proposed and judged as any
other: every frame through the true circuit, every far short. What that finds too little is asked
back as more voltage, until it agrees. Nothing that the true circuit does not agree with comes out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial
from itertools import groupby

import numpy as np

from layouts.errors import EvenfallError

from .line_plan import LinePlan, Verdict, judged, of_stretches, pieces, price_of
from .packing import Unit, least_price, packed
from .records import Line, Market
from .solve_lines import bound_of, line_plan, rough_plan
from .trunks import with_trunks
from .why_not import why_not

Progress = Callable[[float, float], None]

#: How often the true circuit may ask for more voltage before the search gives up.
_ROUNDS = 6
#: So many sets of supplies are worked out, and only those roughly as cheap as the best.
_TRIED, _CLOSE = 2, 1.04
#: [V] less lost in a supply than was assumed that is worth another search.
_LESS_V = 0.02
_NONE = np.empty(0)


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

    def unit_of(self, line: int, pad: int) -> int:
        """The number of the unit that feeds a pad."""
        at = next(
            n
            for n, (first, end) in enumerate(pieces(self.fed[line].line, self.fed[line].plan))
            if first <= pad < end
        )
        piece = self.pieces.index((line, at))
        return next(u for u, unit in enumerate(self.units) if piece in unit.pieces)


class Infeasible(EvenfallError):
    """No wiring of what can be bought keeps the limits; says which one, and what would free it."""


def propose(
    lines: list[Line],
    market: Market,
    agrees: Callable[[Proposal], float] | None = None,
    progress: Progress | None = None,
) -> Proposal:
    """The cheapest proposal found for `lines` that keeps every rule of `market`.

    `agrees(proposal)` is the judgement of the true circuit: [V] that it lacks, at most 0 where it
    keeps everything. Raises Infeasible.
    """
    if not lines:
        raise Infeasible("nothing to feed: every run has its supply already")
    best: Proposal | None = None
    groups = _ranked(lines, market)
    for number, (rough, usable) in enumerate(groups[:_TRIED]):
        if best is not None and rough > _CLOSE * groups[0][0]:
            break
        done = partial(_told, progress, number * len(lines), min(_TRIED, len(groups)) * len(lines))
        made = _searched(lines, usable, market, agrees, done)
        if made is not None and (best is None or made.price < best.price - 1e-9):
            best = made
    if best is None:
        raise Infeasible(why_not(lines, market))
    bound = lower_bound(lines, market)
    return replace(best, lower_bound=min(bound, best.price))


def _ranked(lines: list[Line], market: Market) -> list[tuple[float, np.ndarray]]:
    """Sets of supply choices (K,) bool that may be used, the most promising first: all places, or
    one alone; with a rough price. Of choices that differ in size alone one stands for all."""
    supplies = market.supplies
    per_a = _per_a(market)
    alike: dict[tuple[str, float, float], int] = {}
    for k, s in enumerate(supplies):
        key = (s.place, s.volts, s.source_ohm)
        if key not in alike or per_a[k] < per_a[alike[key]]:
            alike[key] = k
    stands = np.zeros(len(supplies), dtype=bool)
    stands[list(alike.values())] = True
    places = np.array([s.place for s in supplies])
    sets = [stands, *(stands & (places == place) for place in dict.fromkeys(places.tolist()))]
    if len(sets) == 2:
        return [(0.0, stands)]
    sag_v = np.zeros(len(supplies))
    ranked = []
    for usable in sets:
        fed = []
        for whole, line in zip(lines, _only(lines, usable), strict=True):
            stretches = rough_plan(line, market, per_a, sag_v)
            if not stretches:
                break
            plan = of_stretches(stretches, line)
            fuse = tuple(s.fuse for s in sorted(stretches, key=lambda s: s.pad))
            fed.append(Fed(whole, plan, Verdict(True, fuse, _NONE, 0.0, 0, _NONE, {})))
        made = _packed(fed, market) if len(fed) == len(lines) else None
        if made is not None:
            ranked.append((made.price, usable))
    ranked.sort(key=lambda each: each[0])
    return ranked or [(0.0, stands)]


def _per_a(market: Market) -> np.ndarray:
    """(K,) what a planned ampere of each supply choice costs."""
    load = market.rules.supply_load
    return np.array([s.price / (load * s.rated_a) for s in market.supplies])


def _told(progress: Progress | None, before: int, total: int, number: int) -> None:
    if progress is not None:
        progress(before + number, total)


def lower_bound(lines: list[Line], market: Market) -> float:
    """What no plan with a wire of its own for each feed goes below."""
    price = sum(bound_of(line, market) for line in lines)
    key = _volts_of
    for volts, some in groupby(sorted(lines, key=key), key=key):
        amps = np.concatenate([line.demand_a for line in some], axis=1).sum(axis=1).max()
        fits = tuple(s for s in market.supplies if abs(s.volts / volts - 1) < 0.1)
        price += least_price(float(amps), fits, market.rules.supply_load)
    return price


def _volts_of(line: Line) -> float:
    return line.volts


def _only(lines: list[Line], usable: np.ndarray) -> list[Line]:
    return [
        replace(line, reach_m=np.where(usable[:, None], line.reach_m, np.inf)) for line in lines
    ]


def _searched(
    lines: list[Line],
    usable: np.ndarray,
    market: Market,
    agrees: Callable[[Proposal], float] | None,
    progress: Callable[[int], object],
) -> Proposal | None:
    per_a = _per_a(market)
    need_a = sum(float(line.demand_a.sum(axis=1).max()) for line in lines)
    room = np.array([market.rules.supply_load * s.rated_a for s in market.supplies])
    source = np.array([s.source_ohm for s in market.supplies])
    sag_v = source * np.minimum(room, need_a)
    margin_v, best = 0.0, None
    for _ in range(_ROUNDS):
        fed: list[Fed] = []
        for number, line in enumerate(_only(lines, usable)):
            progress(number)
            found = line_plan(line, market, per_a, sag_v, margin_v)
            if found is None:
                return best
            plan, verdict = with_trunks(line, market, found[0], found[1], sag_v, margin_v)
            fed.append(Fed(lines[number], plan, verdict))
        made = _packed(fed, market)
        if made is None:
            return best
        real_v = _sag_v(made, source)
        short_v = max(0.0, float((real_v - sag_v).max(initial=0.0)))
        if short_v <= 1e-9:
            short_v = agrees(made) if agrees else 0.0
            if short_v <= 0 and (best is None or made.price < best.price - 1e-9):
                best = made
        if short_v > 0:
            if best is not None:
                return best
            margin_v += short_v + 1e-4
        elif (sag_v - real_v).max(initial=0.0, where=real_v > 0) > _LESS_V:
            sag_v = real_v + _LESS_V / 4  # less is lost than was feared: once more, cheaper
        else:
            return best
    return best


def _sag_v(made: Proposal, source_ohm: np.ndarray) -> np.ndarray:
    """(K,) [V] lost inside the most loaded unit of each supply choice."""
    amps = _piece_amps(made.fed)[1]
    lost = np.zeros(len(source_ohm))
    for unit in made.units:
        load = amps[list(unit.pieces)].sum(axis=0).max()
        lost[unit.choice] = max(lost[unit.choice], source_ohm[unit.choice] * load)
    return lost


def _piece_amps(fed: tuple[Fed, ...] | list[Fed]) -> tuple[list[tuple[int, int]], np.ndarray]:
    """Every piece as (line, number), and its amperes (P, F)."""
    names, amps = [], []
    for number, each in enumerate(fed):
        for at, (first, end) in enumerate(pieces(each.line, each.plan)):
            names.append((number, at))
            amps.append(each.line.demand_a[:, first:end].sum(axis=1))
    return names, np.array(amps)


def _packed(fed: list[Fed], market: Market) -> Proposal | None:
    """Units for all pieces, place by place and voltage by voltage."""
    names, amps = _piece_amps(fed)
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
        got = packed(amps[mine], sorted(own), supplies, market.rules.supply_load)
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


def keeps(proposal: Proposal) -> bool:
    """Whether every line of a proposal keeps the rules on its own ladders."""
    zero = np.zeros(len(proposal.market.supplies))
    told = [judged(f.line, proposal.market, f.plan, zero) for f in proposal.fed]
    return all(each is not None and each.ok for each in told)
