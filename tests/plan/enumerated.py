"""Every design of a tiny line, cheapest first, each judged by a dense two-rail solve of its own.

This shares nothing with the planner but the records: nodal equations of + and − as full matrices,
designs by enumeration. Pixels that shine in full draw a constant current, so one linear solve
either shows that all do, or that some do not.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator
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


def designs(line: Line, market: Market, most_cuts: int = 2) -> Iterator[Tried]:
    """All of them, cheapest first; one supply feeds all, and every fuse costs the same."""
    pads = np.flatnonzero(line.pad)
    places = np.flatnonzero(line.cut & ~line.start).tolist()
    work = market.work
    (fuse_price,) = {fuse.price for fuse in market.fuses}
    wire_price = np.array([wire.price_per_m for wire in market.wires])
    prices, what = [], []
    picks = np.array(list(itertools.product(range(len(market.wires) + 1), repeat=len(pads))))[1:]
    for s, supply in enumerate(market.supplies):
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
                what.extend((s, cut, row) for row in rows.tolist())
    price = np.concatenate(prices)
    for at in np.argsort(price, kind="stable").tolist():
        s, cut, row = what[at]
        feeds = tuple((int(pad), int(w) - 1) for pad, w in zip(pads, picks[row], strict=True) if w)
        yield Tried(float(price[at]), s, feeds, cut)


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
    ohm = np.array([w.loop_ohm_per_m for w in wires]) / 2 * line.reach_m[tried.supply, pads]
    rail = np.diff(line.rail_ohm) / 2
    total = line.demand_a.sum(axis=1).max()
    if total > rules.supply_load * supply.rated_a:
        return False
    rated = np.array([f.rating_a for f in market.fuses])
    cold = np.array([f.cold_ohm for f in market.fuses])
    pick = np.full(len(pads), len(rated) // 2)
    need = max(line.need_v, (1 - rules.most_drop) * supply.volts)
    for _ in range(6):
        plus = ohm + cold[pick]
        volts, plus_a, minus_a = _solved(line, supply, tried.cuts, pads, plus, ohm, rail)
        wanted = np.searchsorted(rated, (np.abs(plus_a) - 1e-9) / rules.fuse_load)
        if (wanted == len(rated)).any() or (rated[wanted] > fuse_most).any():
            return False
        if (wanted == pick).all():
            break
        pick = np.maximum(wanted, np.where(wanted < pick, 0, pick))
    if volts.min() < need - 1e-9 or (np.abs(plus_a) > rules.fuse_load * rated[pick] + 1e-9).any():
        return False
    if (np.maximum(np.abs(plus_a), np.abs(minus_a)) > carries + 1e-9).any():
        return False
    return not rules.shorts or _all_open(
        line, market, supply, tried.cuts, pads, plus, ohm, rail, rated[pick]
    )


def _matrices(m, cuts, pads, plus, minus, rail, joined, source_ohm):
    """Conductances of + (pixels, then the supply's terminal) and − (pixels); − of it is 0 V."""
    both = []
    for ohm, broken in ((plus, cuts), (minus, ())):
        g = np.zeros((m + 1, m + 1))
        for k, r in enumerate(rail):
            if k + 1 in broken:
                continue
            _join(g, k, k + 1, 1 / r)
        for pad, r, on in zip(
            pads, ohm, joined if ohm is plus else np.ones(len(pads)), strict=True
        ):
            if on:
                _join(g, pad, m, 1 / r)
        both.append(g)
    if source_ohm:
        both[0][m, m] += 1 / source_ohm
    return both


def _join(g, a, b, s):
    g[a, a] += s
    g[b, b] += s
    g[a, b] -= s
    g[b, a] -= s


def _solved(line, supply, cuts, pads, plus, minus, rail):
    m = line.size
    up, down = _matrices(m, cuts, pads, plus, minus, rail, np.ones(len(pads)), supply.source_ohm)
    drawn = line.demand_a.T
    if supply.source_ohm:
        push = np.vstack([-drawn, np.full((1, drawn.shape[1]), supply.volts / supply.source_ohm)])
        v_plus = np.linalg.solve(up, push)
        terminal = v_plus[m]
        v_plus = v_plus[:m]
    else:
        terminal = np.full(drawn.shape[1], supply.volts)
        v_plus = np.linalg.solve(up[:m, :m], -drawn - up[:m, m:] * supply.volts)
    v_minus = np.linalg.solve(down[:m, :m], drawn)
    plus_a = (terminal - v_plus[pads]) / plus[:, None]
    minus_a = v_minus[pads] / minus[:, None]
    return v_plus - v_minus, plus_a.max(axis=1), minus_a.max(axis=1)


def _all_open(line, market, supply, cuts, pads, plus, minus, rail, rating):
    """A short at every pixel: fuses open in order of load, + alone; each at twice its rating."""
    m = line.size
    opens = market.rules.opens
    for at in np.flatnonzero(line.pixel | np.isin(np.arange(m), pads)):
        closed = np.ones(len(pads), dtype=bool)
        while closed.any():
            up, down = _matrices(m, cuts, pads, plus, minus, rail, closed, 0.0)
            # Volts with + and − of node `at` as one, the supply behind its own resistance.
            amps = _short_a(up, down, at, pads, plus, closed, supply)
            load = np.where(closed, np.abs(amps) / rating, 0.0)
            if load.max() < 1e-6:
                break
            turn = load >= load.max() * (1 - 1e-9)
            behind = amps > 1e-6
            if (turn & behind & (amps < opens * rating - 1e-9)).any():
                return False
            closed &= ~turn
    return True


def _short_a(up, down, at, pads, plus, closed, supply):
    """[A] through each feed while + and − touch at a node; pixels draw nothing."""
    m = len(up) - 1
    # Unknowns: + nodes, the + terminal, − nodes; the − terminal is 0 V.
    size = 2 * m + 1
    g = np.zeros((size, size))
    g[: m + 1, : m + 1] = up
    g[m + 1 :, m + 1 :] = down[:m, :m]
    big = 1e9
    i, j = at, m + 1 + at
    _join(g, i, j, big)
    push = np.zeros(size)
    source = 1 / supply.source_ohm if supply.source_ohm else big
    g[m, m] += source
    push[m] = source * supply.volts
    g[np.arange(m), np.arange(m)] += 1e-9  # pieces that nothing feeds rest at 0 V
    v = np.linalg.solve(g, push)
    return np.where(closed, (v[m] - v[pads]) / plus, 0.0)
