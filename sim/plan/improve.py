"""Making the plan of a line cheaper by small changes, each judged exactly.

Feeds are taken away, moved and put on thinner wire, cuts are closed and moved; what is cheaper and
keeps every rule is kept, until nothing is (local search). Two changes at a time are tried where
one leads nowhere. Every candidate is judged by the two ladders of the line, so a plan that comes
out of here keeps the rules; that it is the cheapest of all is not proven: `bound` says how far
from it it can be.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from itertools import pairwise

import numpy as np

from .line_plan import Feed, LinePlan, Verdict, judged, price_of
from .records import Line, Market

#: How far feeds and cuts are moved, in pads and in nodes.
_STEPS = (1, 2, 3, 5, 8, 13, 21, 34)


class Judge:
    """`judged` for one line and one loss inside the supplies; what was asked once is remembered."""

    def __init__(self, line: Line, market: Market, sag_v: np.ndarray, margin_v: float):
        self._ask = lambda plan: judged(line, market, plan, sag_v, margin_v)
        self._known: dict[LinePlan, Verdict | None] = {}

    def __call__(self, plan: LinePlan) -> Verdict | None:
        """The verdict on a plan; None where it cannot be wired at all."""
        if plan not in self._known:
            self._known[plan] = self._ask(plan)
        return self._known[plan]


def improved(
    line: Line,
    market: Market,
    plan: LinePlan,
    verdict: Verdict,
    judge: Judge,
    *,
    trials: int = 2000,
    pairs: bool = True,
    stop: Callable[[], bool] = lambda: False,
) -> tuple[LinePlan, Verdict, float]:
    """A plan at most as dear as `plan`, which keeps the rules, its verdict and its price."""
    best, price = plan, price_of(line, market, plan, verdict.fuse)
    left = trials
    tried: set[LinePlan] = {plan}
    moves = Moves(line, market)
    while left > 0 and not stop():
        found = None
        for deep in (False, True) if pairs else (False,):
            options: list[tuple[float, int, LinePlan]] = []
            for option in moves.around(best, deep=deep):
                if option in tried:
                    continue
                cost = price_of(line, market, option)
                if cost < price - 1e-9:
                    tried.add(option)
                    options.append((cost, len(options), option))
            options.sort()
            for _, _, option in options:
                if left <= 0:
                    break
                left -= 1
                told = judge(option)
                if told is not None and told.ok:
                    cost = price_of(line, market, option, told.fuse)
                    if cost < price - 1e-9:
                        found = (option, told, cost)
                        break
            if found:
                break
        if not found:
            break
        best, verdict, price = found
    return best, verdict, price


def repaired(
    line: Line,
    market: Market,
    plan: LinePlan,
    verdict: Verdict,
    judge: Judge,
    *,
    trials: int = 1000,
    below: float = np.inf,
) -> tuple[LinePlan, Verdict] | None:
    """A plan near `plan`, whose `verdict` says that it breaks rules, that keeps them; None where
    none was found. Each change is the one that leaves least lacking, or the cheapest that does.

    With `below` only what costs less is looked at, and no feed is added.
    """
    moves = Moves(line, market)
    lacks = _lacks(verdict)
    while True:
        found: tuple[float, float, LinePlan, Verdict] | None = None
        for option in moves.towards(plan, verdict):
            if trials <= 0:
                return None
            if np.isfinite(below):
                added = len(option.feeds) > len(plan.feeds)
                if added or price_of(line, market, option) >= below - 1e-9:
                    continue
            trials -= 1
            told = judge(option)
            if told is None:
                continue
            left = _lacks(told)
            key = (left, price_of(line, market, option, told.fuse))
            if left < lacks - 1e-9 and (found is None or key < found[:2]):
                found = (*key, option, told)
        if found is None:
            return None
        lacks, _, plan, verdict = found
        if verdict.ok:
            return plan, verdict


def with_fewer(
    line: Line, market: Market, plan: LinePlan, price: float, judge: Judge
) -> Iterator[tuple[LinePlan, Verdict]]:
    """Plans that keep the rules with a feed less than `plan`, or a piece less, and cost less than
    `price`: what that breaks is mended by moving, by thicker wire and by cuts."""
    fewer = [plan.changed(at, None) for at in range(len(plan.feeds))]
    uncut = [replace(option, cuts=plan.cuts - {cut}) for option in fewer for cut in plan.cuts]
    for option in (*fewer, *uncut, *(replace(plan, cuts=plan.cuts - {cut}) for cut in plan.cuts)):
        verdict = judge(option)
        if verdict is None:
            continue
        if verdict.ok:
            yield option, verdict
        elif made := repaired(line, market, option, verdict, judge, below=price):
            yield made


def _lacks(verdict: Verdict) -> float:
    """How far a plan is from keeping the rules: volts first, then shorts; 0 where it does."""
    if verdict.ok:
        return 0.0
    if verdict.spare_v < -1e-9:
        return 10.0 - verdict.spare_v
    short = float(np.maximum(1 - verdict.opening, 0.0).sum())
    return short if short > 0 else 5.0


class Moves:
    """The changes that can be made to a plan of one line."""

    def __init__(self, line: Line, market: Market):
        self.line, self.market = line, market
        self.pads = np.flatnonzero(line.pad)
        self.cuts = np.flatnonzero(line.cut & ~line.start)

    def around(self, plan: LinePlan, deep: bool) -> Iterator[LinePlan]:
        """Every plan one change away; `deep`: two, of which one at least saves something."""
        if not deep:
            yield from self._one(plan)
            return
        for first in self._saving(plan):
            yield from self._one(first)
            yield from self._more_cuts(first)

    def _saving(self, plan: LinePlan) -> Iterator[LinePlan]:
        """The first of two changes: a feed or a cut less, another wire, a piece less."""
        for at in range(len(plan.feeds)):
            fewer = plan.changed(at, None)
            yield fewer
            for cut in sorted(plan.cuts):
                yield replace(fewer, cuts=plan.cuts - {cut})
                for other in self._near(self.cuts, cut):
                    yield replace(fewer, cuts=plan.cuts - {cut} | {other})
        for cut in sorted(plan.cuts):
            yield replace(plan, cuts=plan.cuts - {cut})
        yield from self._more_cuts(plan)
        yield from self._merged(plan)
        yield from self._thinner(plan)
        # Dearer by themselves, they can make room for a feed less: they come back with `_one`.
        yield from self._other_wire(plan)

    def _one(self, plan: LinePlan) -> Iterator[LinePlan]:
        for at in range(len(plan.feeds)):
            yield plan.changed(at, None)
        for cut in sorted(plan.cuts):
            yield replace(plan, cuts=plan.cuts - {cut})
            for other in self._near(self.cuts, cut):
                yield replace(plan, cuts=plan.cuts - {cut} | {other})
        yield from self._thinner(plan)
        for at, feed in enumerate(plan.feeds):
            for pad in self._near(self.pads, feed.pad):
                yield plan.changed(at, replace(feed, pad=pad))
                for wire in range(len(self.market.wires)):
                    if wire != feed.wire:
                        yield plan.changed(at, Feed(pad, feed.supply, wire))

    def _more_cuts(self, plan: LinePlan) -> Iterator[LinePlan]:
        """One cut more, where feeds beside each other have none between them."""
        for before, after in pairwise(plan.feeds):
            between = self.cuts[(self.cuts > before.pad) & (self.cuts <= after.pad)]
            if not plan.cuts & set(between.tolist()):
                for cut in between[:: max(1, len(between) // 8)].tolist():
                    yield replace(plan, cuts=plan.cuts | {cut})

    def _merged(self, plan: LinePlan) -> Iterator[LinePlan]:
        """Two feeds beside each other made one, somewhere between them."""
        for at, (before, after) in enumerate(pairwise(plan.feeds)):
            pads = self.pads[(self.pads > before.pad) & (self.pads < after.pad)]
            fewer = plan.changed(at + 1, None)
            for pad in pads[:: max(1, len(pads) // 8)].tolist():
                for wire in range(len(self.market.wires)):
                    yield fewer.changed(at, Feed(pad, before.supply, wire))

    def _thinner(self, plan: LinePlan) -> Iterator[LinePlan]:
        prices = [wire.price_per_m for wire in self.market.wires]
        for at, feed in enumerate(plan.feeds):
            for wire, price in enumerate(prices):
                if price < prices[feed.wire]:
                    yield plan.changed(at, replace(feed, wire=wire))

    def _other_wire(self, plan: LinePlan) -> Iterator[LinePlan]:
        prices = [wire.price_per_m for wire in self.market.wires]
        for at, feed in enumerate(plan.feeds):
            for wire, price in enumerate(prices):
                if price > prices[feed.wire]:
                    yield plan.changed(at, replace(feed, wire=wire))

    def towards(self, plan: LinePlan, verdict: Verdict) -> Iterator[LinePlan]:
        """Plans one change away that may keep rules which `plan` breaks."""
        taken = {feed.pad for feed in plan.feeds}
        if verdict.spare_v < -1e-9:
            for pad in [verdict.worst, *self._near(self.pads, verdict.worst)]:
                if pad in taken or not self.line.pad[pad]:
                    continue
                beside = min(plan.feeds, key=lambda feed: abs(feed.pad - pad))
                for wire in range(len(self.market.wires)):
                    yield plan.changed(len(plan.feeds), Feed(pad, beside.supply, wire))
        else:
            yield from self._more_cuts(plan)
        yield from self._one(plan)
        yield from self._other_wire(plan)

    def _near(self, among: np.ndarray, at: int) -> list[int]:
        """Some of `among` (ascending) about `at`, nearest first."""
        here = int(np.searchsorted(among, at))
        steps = [s for step in _STEPS for s in (-step, step)]
        return [int(among[here + s]) for s in steps if 0 <= here + s < len(among)]
