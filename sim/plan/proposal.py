"""The plan of a whole house: lines fed, pieces packed into supplies, all of it tried exactly.

`propose` searches with the ladders of single lines, where a supply's own resistance is a loss taken
to be known and supplies do not meet. Then the whole house is wired as proposed and judged as any
other: every frame through the true circuit, every far short. What that finds too little is asked
back as more voltage, until it agrees. Nothing that the true circuit does not agree with comes out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from itertools import groupby

import numpy as np

from layouts.catalogue import limits
from layouts.errors import EvenfallError

from .fed import Fed, Proposal, piece_amps, with_units
from .line_plan import judged
from .packing import least_price
from .records import Line, Market
from .solve_lines import bound_of, line_plan
from .trunks import with_trunks
from .which_places import only_with, price_per_a, ranked_places
from .why_not import why_not

Progress = Callable[[float, float], None]

#: How often the true circuit may ask for more voltage before the search gives up.
_ROUNDS = 6
#: So many sets of supplies are worked out, and only those roughly as cheap as the best.
_TRIED, _CLOSE = 2, 1.04
#: [V] less lost in a supply than was assumed that is worth another search.
_LESS_V = 0.02


class Infeasible(EvenfallError):
    """No wiring of what can be bought keeps the limits; says which one, and what would free it."""


def propose(
    lines: list[Line],
    market: Market,
    agrees: Callable[[Proposal], float] | None = None,
    progress: Progress | None = None,
    rounds: int = _ROUNDS,
    units: str = "m",
) -> Proposal:
    """The cheapest proposal found for `lines` that keeps every rule of `market`.

    `agrees(proposal)` is the judgement of the true circuit: [V] that it lacks, at most 0 where it
    keeps everything; it may ask for more voltage `rounds` times. Raises Infeasible, with lengths in
    `units`.
    """
    if not lines:
        raise Infeasible("nothing to feed: every run has its supply already")
    best: Proposal | None = None
    groups = ranked_places(lines, market)
    for number, (rough, usable) in enumerate(groups[:_TRIED]):
        if best is not None and rough > _CLOSE * groups[0][0]:
            break
        done = partial(_told, progress, number * len(lines), min(_TRIED, len(groups)) * len(lines))
        made = _searched(lines, usable, market, agrees, done, rounds)
        if made is not None and (best is None or made.price < best.price - 1e-9):
            best = made
    if best is None:
        raise Infeasible(why_not(lines, market, units))
    bound = lower_bound(lines, market)
    return replace(best, lower_bound=min(bound, best.price))


def _told(progress: Progress | None, before: int, total: int, number: int) -> None:
    if progress is not None:
        progress(before + number, total)


def lower_bound(lines: list[Line], market: Market) -> float:
    """What no plan with a wire of its own for each feed goes below."""
    price = sum(bound_of(line, market) for line in lines)
    key = _volts_of
    for volts, some in groupby(sorted(lines, key=key), key=key):
        amps = np.concatenate([line.demand_a for line in some], axis=1).sum(axis=1).max()
        fits = tuple(s for s in market.supplies if limits().suits(s.volts, volts))
        price += least_price(float(amps), fits, market.rules.supply_load)
    return price


def _volts_of(line: Line) -> float:
    return line.volts


def _searched(
    lines: list[Line],
    usable: np.ndarray,
    market: Market,
    agrees: Callable[[Proposal], float] | None,
    progress: Callable[[int], object],
    rounds: int,
) -> Proposal | None:
    per_a = price_per_a(market)
    need_a = sum(float(line.demand_a.sum(axis=1).max()) for line in lines)
    room = np.array([market.rules.supply_load * s.rated_a for s in market.supplies])
    source = np.array([s.source_ohm for s in market.supplies])
    sag_v = source * np.minimum(room, need_a)
    margin_v, best = 0.0, None
    for _ in range(rounds):
        fed: list[Fed] = []
        for number, line in enumerate(only_with(lines, usable)):
            progress(number)
            found = line_plan(line, market, per_a, sag_v, margin_v)
            if found is None:
                return best
            plan, verdict = with_trunks(line, market, found[0], found[1], sag_v, margin_v)
            fed.append(Fed(lines[number], plan, verdict))
        made = with_units(fed, market)
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
    amps = piece_amps(made.fed)[1]
    lost = np.zeros(len(source_ohm))
    for unit in made.units:
        load = amps[list(unit.pieces)].sum(axis=0).max()
        lost[unit.choice] = max(lost[unit.choice], source_ohm[unit.choice] * load)
    return lost


def keeps(proposal: Proposal) -> bool:
    """Whether every line of a proposal keeps the rules on its own ladders."""
    zero = np.zeros(len(proposal.market.supplies))
    told = [judged(f.line, proposal.market, f.plan, zero) for f in proposal.fed]
    return all(each is not None and each.ok for each in told)


__all__ = ["Fed", "Infeasible", "Progress", "Proposal", "keeps", "lower_bound", "propose"]
