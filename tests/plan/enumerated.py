"""Every design of a tiny line, cheapest first, each judged by a dense two-rail solve of its own.

This shares nothing with the planner but the records: nodal equations of + and − as full matrices,
designs by enumeration. Pixels that shine in full draw a constant current, so one linear solve
either shows that all do, or that some do not.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from sim.plan.records import Line, Market


@dataclass(frozen=True)
class Tried:
    """One design: a supply choice, (pad, wire) feeds, cuts before nodes, and its price."""

    price: float
    supply: int
    feeds: tuple[tuple[int, int], ...]
    cuts: tuple[int, ...]


#: Designs looked at together.
_BATCH = 512


class TooMany(Exception):
    """More designs than one has the patience for."""


def cheapest(line: Line, market: Market, most_cuts: int = 3, most: int = 1_000_000) -> Tried | None:
    """The cheapest design that keeps every rule; None where none does.

    What cannot keep them is passed over by the dozen: every fuse as good as the best there is.
    Raises TooMany where it is not among the first `most`.
    """
    for some in _batches(line, market, most_cuts):
        if most <= 0:
            raise TooMany
        most -= len(some)
        for tried in _hopeful(line, market, some):
            if keeps_all(line, market, tried):
                return tried
    return None


def designs(line: Line, market: Market, most_cuts: int = 3) -> Iterator[Tried]:
    """All of them, cheapest first; one supply feeds all, and every fuse costs the same."""
    for some in _batches(line, market, most_cuts):
        yield from some


def _batches(line: Line, market: Market, most_cuts: int) -> Iterator[list[Tried]]:
    pads = np.flatnonzero(line.pad)
    places = np.flatnonzero(line.cut & ~line.start).tolist()
    work = market.work
    (fuse_price,) = {fuse.price for fuse in market.fuses}
    wire_price = np.array([wire.price_per_m for wire in market.wires])
    prices, what, rows_of = [], [], []
    picks = np.array(list(itertools.product(range(len(market.wires) + 1), repeat=len(pads))))[1:]
    total_a = line.demand_a.sum(axis=1).max()
    for s, supply in enumerate(market.supplies):
        if total_a > market.rules.supply_load * supply.rated_a:
            continue
        own = np.zeros((len(market.wires) + 1, len(pads)))
        own[1:] = wire_price[:, None] * line.reach_m[s, pads] + fuse_price + work.feed
        each = own[picks, np.arange(len(pads))].sum(axis=1) + supply.price
        for n in range(most_cuts + 1):
            for cut in itertools.combinations(places, n):
                bounds = [0, *cut, line.size]
                fed = np.ones(len(picks), dtype=bool)
                for first, end in itertools.pairwise(bounds):
                    fed &= (picks[:, (pads >= first) & (pads < end)] > 0).any(axis=1)
                rows = np.flatnonzero(fed)
                prices.append(each[rows] + work.cut * n)
                rows_of.append(rows)
                what += [(s, cut)] * len(rows)
    if not prices:
        return
    price, row_of = np.concatenate(prices), np.concatenate(rows_of)
    order = np.argsort(price, kind="stable")
    for begin in range(0, len(order), _BATCH):
        some = []
        for at in order[begin : begin + _BATCH].tolist():
            row = picks[row_of[at]].tolist()
            feeds = tuple((int(pad), w - 1) for pad, w in zip(pads, row, strict=True) if w)
            some.append(Tried(float(price[at]), what[at][0], feeds, what[at][1]))
        yield some


def _hopeful(line: Line, market: Market, some: list[Tried]) -> list[Tried]:
    """Those of `some` that could have volts enough. A feed whose resistance is less leaves more
    volts everywhere, since what flows is given: so with the least resistance of any fuse."""
    m = line.size
    rail = 2 / np.diff(line.rail_ohm)
    least_ohm = min(fuse.cold_ohm for fuse in market.fuses)
    up, down = np.zeros((2, len(some), m, m))
    held, need = np.empty((2, len(some)))
    whole = np.zeros((m, m))
    for k, s in enumerate(rail):
        _join(whole, k, k + 1, s)
    up[:], down[:] = whole, whole
    for n, tried in enumerate(some):
        supply = market.supplies[tried.supply]
        for cut in tried.cuts:
            _join(up[n], cut - 1, cut, -rail[cut - 1])
        for pad, w in tried.feeds:
            ohm = market.wires[w].loop_ohm_per_m / 2 * line.reach_m[tried.supply, pad]
            up[n, pad, pad] += 1 / (ohm + least_ohm)
            down[n, pad, pad] += 1 / ohm
        held[n] = supply.volts
        need[n] = max(line.need_v, (1 - market.rules.most_drop) * supply.volts)
    drawn = line.demand_a.T
    sag = np.array([market.supplies[t.supply].source_ohm for t in some])[:, None] * drawn.sum(
        axis=0
    )
    lost = np.linalg.solve(up, drawn[None]) + np.linalg.solve(down, drawn[None])
    volts = np.where(line.pixel[:, None], held[:, None, None] - sag[:, None] - lost, np.inf)
    good = volts.min(axis=(1, 2)) >= need - 1e-9
    return [tried for tried, well in zip(some, good, strict=True) if well]


def keeps_all(line: Line, market: Market, tried: Tried) -> bool:
    """Whether a design keeps every rule of the market, in every frame.

    Each feed gets the smallest fuse that carries it; the fuse's own resistance moves the currents
    a little, so they are solved until the fuses stay.
    """
    rules, supply = market.rules, market.supplies[tried.supply]
    pads = np.array([feed[0] for feed in tried.feeds])
    wires = [market.wires[feed[1]] for feed in tried.feeds]
    carries = np.array([w.carries_a for w in wires])
    fuse_most = np.array([w.fuse_most_a for w in wires])
    total = line.demand_a.sum(axis=1).max()
    if total > rules.supply_load * supply.rated_a:
        return False
    rated = np.array([f.rating_a for f in market.fuses])
    pick = np.full(len(pads), len(rated) // 2)
    need = max(line.need_v, (1 - rules.most_drop) * supply.volts)
    for _ in range(6):
        rails = Rails(line, market, tried, pick)
        volts, plus_a, minus_a = rails.loaded(line.demand_a)
        plus_a, minus_a = plus_a.max(axis=1), minus_a.max(axis=1)
        wanted = np.searchsorted(rated, (np.abs(plus_a) - 1e-9) / rules.fuse_load)
        if (wanted == len(rated)).any() or (rated[wanted] > fuse_most).any():
            return False
        if (wanted == pick).all():
            break
        pick = np.maximum(wanted, np.where(wanted < pick, 0, pick))
    if volts[line.pixel].min() < need - 1e-9:
        return False
    if (np.abs(plus_a) > rules.fuse_load * rated[pick] + 1e-9).any():
        return False
    if (np.maximum(np.abs(plus_a), np.abs(minus_a)) > carries + 1e-9).any():
        return False
    least = rails.least_short_a(rated[pick], rules.opens) if rules.shorts else np.inf
    return bool((least >= rules.opens * rated[pick] - 1e-9).all())


class Rails:
    """Nodal equations of + and − of a design with given fuses, each a full matrix; [Ω], [V].

    + stands against the supply's terminal, − against its other one.
    """

    def __init__(self, line: Line, market: Market, tried: Tried, fuse: Sequence[int]):
        self.line, self.supply = line, market.supplies[tried.supply]
        self.pads = np.array([pad for pad, _ in tried.feeds])
        reach = line.reach_m[tried.supply, self.pads]
        each = np.array([market.wires[w].loop_ohm_per_m for _, w in tried.feeds])
        self.minus = each / 2 * reach
        self.plus = self.minus + np.array([market.fuses[g].cold_ohm for g in fuse])
        self.up, down = np.zeros((2, line.size, line.size))
        for k, ohm in enumerate(np.diff(line.rail_ohm) / 2):
            _join(down, k, k + 1, 1 / ohm)
            if k + 1 not in tried.cuts:
                _join(self.up, k, k + 1, 1 / ohm)
        down[self.pads, self.pads] += 1 / self.minus
        self.back = np.linalg.inv(down)

    def ahead(self, closed: np.ndarray) -> np.ndarray:
        """(m, m) [Ω] of + with the feeds `closed` (P,); what none reaches hangs on a leak."""
        up = self.up.copy()
        np.fill_diagonal(up, up.diagonal() + 1e-9)
        up[self.pads, self.pads] += closed / self.plus
        return np.linalg.inv(up)

    def loaded(self, demand_a: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Volts (m, F) and amperes of + and of − of every feed (P, F)."""
        drawn = demand_a.T
        held = self.supply.volts - self.supply.source_ohm * drawn.sum(axis=0)
        down_v = self.ahead(np.ones(len(self.pads))) @ drawn
        up_v = self.back @ drawn
        return (
            held - down_v - up_v,
            down_v[self.pads] / self.plus[:, None],
            up_v[self.pads] / self.minus[:, None],
        )

    def least_short_a(self, rated: np.ndarray, enough: float = np.inf) -> np.ndarray:
        """(P,) [A] the least current with which each feed's fuse of `rated` (P,) [A] has to open
        on a short at any pixel or pad. Fuses open in order of load, + alone. The search ends where
        one has less than `enough` times its rating."""
        feeds = len(self.pads)
        least = np.full(feeds, np.inf)
        known: dict[bytes, np.ndarray] = {}
        spots = np.flatnonzero(self.line.pixel | np.isin(np.arange(self.line.size), self.pads))
        for at in sorted(spots.tolist(), key=lambda k: -self.back[k, k]):
            closed = np.ones(feeds, dtype=bool)
            while closed.any():
                key = closed.tobytes()
                if key not in known:
                    known[key] = self.ahead(closed)
                ohm = known[key]
                all_a = self.supply.volts / (
                    self.supply.source_ohm + ohm[at, at] + self.back[at, at]
                )
                amps = all_a * ohm[self.pads, at] / self.plus * closed
                load = amps / rated
                if load.max() < 1e-6:
                    break
                turn = load >= load.max() * (1 - 1e-9)
                least = np.where(turn & (amps > 1e-6), np.minimum(least, amps), least)
                if (least < enough * rated - 1e-9).any() and np.isfinite(enough):
                    return least
                closed = closed & ~turn
        return least


def _join(g: np.ndarray, a: int, b: int, s: float) -> None:
    g[a, a] += s
    g[b, b] += s
    g[a, b] -= s
    g[b, a] -= s
