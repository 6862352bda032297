"""The cheapest plan of every line for given supplies: covered from several sides, then improved."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

import numpy as np

from .bound import least_price
from .cover import cover
from .improve import Judge, improved, repaired, with_fewer
from .line_plan import Feed, LinePlan, Verdict, judged, of_stretches, price_of
from .records import Line, Market, Stretch

#: A line with more nodes than this is first covered on a coarse grid of about so many.
_COARSE = 110
#: Lines with so many nodes are searched more widely.
_SMALL = 60
#: Share of the voltage drop by which a coarse grid may be wrong.
_LOOSE = 0.12
#: How often a cover is asked for a little more voltage; after so many turns for much more.
_TIGHTENED, _LITTLE = 10, 6
#: Of tiny lines every pad is tried as a start too.
_TINY = 8


def can_be_fed(line: Line, market: Market) -> bool:
    """Whether `line_plan` finds any plan of a line by itself; dear ones are not made cheaper."""
    zero = np.zeros(len(market.supplies))
    judge = Judge(line, market, zero, 0.0)
    failed: list[tuple[LinePlan, Verdict]] = []
    for start in dict.fromkeys(_starts(line, market, zero, zero, 0.0)):
        verdict = judge(start)
        if verdict is not None and verdict.ok:
            return True
        if verdict is not None:
            failed.append((start, verdict))
    return any(repaired(line, market, start, told, judge) is not None for start, told in failed)


def line_plan(
    line: Line,
    market: Market,
    per_a: np.ndarray,
    sag_v: np.ndarray,
    margin_v: float = 0.0,
) -> tuple[LinePlan, Verdict, float] | None:
    """The best plan found of one line, its verdict and its price with `per_a` (K,) an ampere of
    each supply choice; None where none keeps the rules."""
    best: tuple[LinePlan, Verdict, float] | None = None
    seen: set[LinePlan] = set()
    judge = Judge(line, market, sag_v, margin_v)
    small = line.size <= _SMALL

    def better(start: LinePlan, verdict: Verdict) -> None:
        nonlocal best
        plan, told, price = improved(
            line, market, start, verdict, judge,
            trials=2000 if small else 250, pairs=small,
        )  # fmt: skip
        price += sum(per_a[k] * a for k, a in told.supply_a.items())
        if best is None or price < best[2] - 1e-9:
            best = plan, told, price
        seen.add(plan)

    failed: list[tuple[LinePlan, Verdict]] = []
    for start in _starts(line, market, per_a, sag_v, margin_v):
        if start in seen:
            continue
        seen.add(start)
        verdict = judge(start)
        if verdict is None:
            continue
        if verdict.ok:
            better(start, verdict)
        else:
            failed.append((start, verdict))
    # What nearly keeps the rules can be the way to the cheapest plan, or to any.
    for start, verdict in failed:
        if best is not None and not small:
            break
        made = repaired(line, market, start, verdict, judge)
        if made is not None and made[0] not in seen:
            seen.add(made[0])
            better(*made)
    while best is not None and small:
        before = best
        for option, told in with_fewer(
            line, market, best[0], _own_price(line, market, best), judge
        ):
            if option not in seen:
                seen.add(option)
                better(option, told)
        if best is before:
            break
    return best


def _own_price(line: Line, market: Market, found: tuple[LinePlan, Verdict, float]) -> float:
    """Without what its amperes cost."""
    return price_of(line, market, found[0], found[1].fuse)


def _starts(
    line: Line,
    market: Market,
    per_a: np.ndarray,
    sag_v: np.ndarray,
    margin_v: float,
) -> Iterator[LinePlan]:
    """Plans to begin from: cut at every stretch, nowhere, and where no short is looked at."""
    free = replace(market, work=replace(market.work, cut=0.0))
    bare = replace(free, rules=replace(market.rules, shorts=False))
    some = False
    offers = [(line, market), (line, free), (line, bare)]
    if line.cut.mean() < 0.5:
        # Where + can hardly be cut, stretches meet anywhere all the same: − and + both go on.
        joined = replace(line, cut=np.ones(line.size, dtype=bool))
        offers += [(joined, free), (joined, bare)]
    for on, offer in offers:
        if offer is bare and some and line.size > _COARSE:
            break
        grid = _grid(on, offer, per_a, sag_v, np.full(line.size, margin_v))
        keep_v = margin_v
        for turn in range(_TIGHTENED):
            margin = np.full(line.size, keep_v)
            stretches = cover(on, offer, per_a, usable=grid, sag_v=sag_v, margin_v=margin)[1]
            if not stretches:
                break
            plan = of_stretches(stretches, line)
            if on is not line:
                plan = replace(plan, cuts=frozenset())
            told = judged(line, market, plan, sag_v, margin_v)
            if offer is not market and len({f.supply for f in plan.feeds}) == 1:
                yield replace(plan, cuts=frozenset())
            yield plan
            some = some or (told is not None and told.ok)
            if told is None or told.ok or told.spare_v >= 0:
                break
            # − goes on through cuts: stretches lean on each other more than `cover` knows.
            keep_v += (1e-4 - told.spare_v) * 4 ** max(0, turn - _LITTLE + 1)
    pads = np.flatnonzero(line.pad)
    if len(pads) > _TINY:
        return
    every = pads[:: max(1, len(pads) // _TINY)].tolist()
    for supply in range(len(market.supplies)):
        for wire in range(len(market.wires)):
            plan = LinePlan(tuple(Feed(pad, supply, wire) for pad in every))
            yield plan
            cuts = [_cut_between(line, a, b) for a, b in pairwise(every)]
            yield replace(plan, cuts=frozenset(c for c in cuts if c is not None))


def _cut_between(line: Line, a: int, b: int) -> int | None:
    may = np.flatnonzero(line.cut & ~line.start)
    may = may[(may > a) & (may <= b)]
    return int(may[len(may) // 2]) if len(may) else None


def _grid(
    line: Line, market: Market, per_a: np.ndarray, sag_v: np.ndarray, margin_v: np.ndarray
) -> np.ndarray:
    """(m,) bool: where stretches may begin and feeds end: near what a coarse cover has there."""
    step = -(-line.size // _COARSE)
    usable = np.zeros(line.size, dtype=bool)
    usable[::step] = True
    usable[line.start] = True
    usable[-1] = True
    if step == 1:
        return usable
    _, found = cover(line, market, per_a, usable=usable, sag_v=sag_v, margin_v=margin_v)
    # Off the grid a few stretches less may do: where a little less voltage were enough.
    loose_v = margin_v - _LOOSE * market.rules.most_drop * line.volts
    _, fewer = cover(line, market, per_a, usable=usable, sag_v=sag_v, margin_v=loose_v)
    if len(fewer) < len(found) or not found:
        found = (*found, *fewer)
    near = usable.copy() if not found else np.zeros(line.size, dtype=bool)
    near[line.start] = True
    for stretch in found:
        for at in (stretch.first, stretch.pad, stretch.last + 1):
            near[max(0, at - step) : at + step + 1] = True
    return near


def rough_plan(
    line: Line, market: Market, per_a: np.ndarray, sag_v: np.ndarray
) -> tuple[Stretch, ...]:
    """A coarse cover of the line: what to expect of a set of supplies; () where there is none."""
    step = -(-line.size // _COARSE)
    usable = np.zeros(line.size, dtype=bool)
    usable[::step] = True
    usable[line.start] = True
    return cover(line, market, per_a, usable=usable, sag_v=sag_v)[1]


def bound_of(line: Line, market: Market) -> float:
    """A price that no feeding of the line by wires of its own goes below, supplies left out."""
    frame = int(line.demand_a.sum(axis=1).argmax())
    one = replace(line, demand_a=line.demand_a[frame : frame + 1])
    return least_price(one, market)
