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


def improved(
    line: Line,
    market: Market,
    plan: LinePlan,
    verdict: Verdict,
    sag_v: np.ndarray,
    *,
    margin_v: float = 0.0,
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
                told = judged(line, market, option, sag_v, margin_v)
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

    def _near(self, among: np.ndarray, at: int) -> list[int]:
        """Some of `among` (ascending) about `at`, nearest first."""
        here = int(np.searchsorted(among, at))
        steps = [s for step in _STEPS for s in (-step, step)]
        return [int(among[here + s]) for s in steps if 0 <= here + s < len(among)]
