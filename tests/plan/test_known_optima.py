"""Lines whose best feeds are known in closed form or by counting through, without the planner."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from sim.plan.proposal import propose
from sim.plan.records import (
    FuseChoice,
    Line,
    Market,
    Rules,
    SupplyChoice,
    WireChoice,
    WorkPrices,
)

ALMOST_NONE = 1e-6


def line_of(
    amps: np.ndarray, ohm: float, volts: float, drop_v: float, reach_m: np.ndarray | float = 1.0
) -> Line:
    """Nodes with `ohm` [Ω] of loop between neighbours, a pad each, no place to cut."""
    m = len(amps)
    none = np.zeros(m, dtype=bool)
    start = none.copy()
    start[0] = True
    reach = np.broadcast_to(np.asarray(reach_m, dtype=float), (1, m)) if np.ndim(reach_m) < 2 else (
        np.asarray(reach_m)
    )  # fmt: skip
    return Line(
        "line", volts, ohm * np.arange(m), amps[None], volts - drop_v, ~none, none,
        np.zeros(m), start, reach.copy(), ~none, np.arange(m),
    )  # fmt: skip


def market_of(
    feeder_ohm: float = ALMOST_NONE, volts: float = 5.0, feed: float = 1.0, metre: float = 0.0
) -> Market:
    """Feeds of one price; nothing else limits anything."""
    return Market(
        (SupplyChoice("s", "p", volts, 1000.0, 0.0, 0.0),),
        (WireChoice("w", feeder_ohm, 1000.0, 1000.0, metre),),
        (FuseChoice(1000.0, 0.0, 0.0),),
        WorkPrices(feed=feed, cut=100.0, joint=100.0, tap=100.0, trunk=100.0),
        Rules(most_drop=0.9, shorts=False),
    )


# A uniform line of i [A/m] and r [Ω/m] loses i·r·s²/2 from a feed to a distance s from it; a feed
# serves 2·s. 2.16 A/m, 0.2 Ω/m, 0.5 V: s = √(2·0.5/(2.16·0.2)) = 1.5215 m, n = ⌈L/(2·s)⌉.
@pytest.mark.parametrize(
    ("length_m", "feeds"), [(2.5, 1), (5.5, 2), (8.5, 3), (10.0, 4), (11.5, 4)]
)
def test_feeds_of_a_uniform_line(length_m: float, feeds: int) -> None:
    assert feeds == np.ceil(length_m / (2 * np.sqrt(2 * 0.5 / (2.16 * 0.2))))
    a_metre = 20
    nodes = round(length_m * a_metre)
    line = line_of(np.full(nodes, 2.16 / a_metre), 0.2 / a_metre, 5.0, 0.5)
    found = propose([line], market_of())
    assert len(found.fed[0].plan.feeds) == feeds
    # cuts that cost nothing change nothing: the drop is symmetrical between two feeds
    free = replace(line, cut=np.arange(nodes) > 0)
    market = replace(market_of(), work=replace(market_of().work, cut=0.0))
    assert len(propose([free], market).fed[0].plan.feeds) == feeds


# 12 nodes of 1 A, 0.1 Ω between neighbours, feeds at nodes: the least greatest drop with k feeds,
# counted through over all placements with numpy's dense solve (below, once more).
LADDER = {
    (0.0, 1): 2.1,
    (0.0, 2): 0.6,
    (0.0, 3): 0.3,
    (0.05, 1): 2.7,
    (0.05, 2): 0.9,
    (0.05, 3): 0.5,
}
BEST = {
    (0.0, 1): [{5}, {6}],
    (0.05, 1): [{5}, {6}],
    (0.05, 2): [{2, 9}, {3, 8}],
    (0.05, 3): [{1, 6, 9}, {2, 5, 10}],
}


def worst_drop_v(pads: tuple[int, ...], feeder_ohm: float) -> float:
    g = np.zeros((12, 12))
    for k in range(11):
        g[k, k] += 10
        g[k + 1, k + 1] += 10
        g[k, k + 1] -= 10
        g[k + 1, k] -= 10
    for pad in pads:
        g[pad, pad] += 1 / max(feeder_ohm, ALMOST_NONE)
    return float(np.linalg.solve(g, np.ones(12)).max())


@pytest.mark.parametrize(("feeder_ohm", "count"), LADDER)
def test_a_ladder_of_twelve_nodes(feeder_ohm: float, count: int) -> None:
    least_v = LADDER[feeder_ohm, count]
    drops = {p: worst_drop_v(p, feeder_ohm) for p in combinations(range(12), count)}
    assert min(drops.values()) == pytest.approx(least_v, abs=2e-5)
    best = [set(p) for p, v in drops.items() if v < least_v + 1e-4]
    assert best == BEST.get((feeder_ohm, count), best)
    market = market_of(max(feeder_ohm, ALMOST_NONE), volts=12.0)
    enough = line_of(np.ones(12), 0.1, 12.0, least_v + 1e-4)
    feeds = propose([enough], market).fed[0].plan.feeds
    assert {feed.pad for feed in feeds} in best
    less = replace(enough, need_v=12 - least_v + 1e-3)
    assert len(propose([less], market).fed[0].plan.feeds) > count


# Loads at `AT` of weight `W`, sites that cost `OPEN`, a load costs its weight times the distance to
# the site that serves it: 26.0 with the sites at 3, 6 and 9, no other set as cheap; with 4 for each
# site 28.0, three sets alike (counted through over all sets, below once more).
AT = np.array([0, 1, 2, 3.5, 5, 6.5, 8, 9, 10, 12])
W = np.array([1, 1, 2, 1, 1, 3, 1, 1, 2, 1])
SITES = np.array([0, 3, 6, 9, 12.0])


def cost_of(sites: tuple[int, ...], opened: np.ndarray) -> float:
    far = np.abs(AT[:, None] - SITES[list(sites)]).min(axis=1)
    return float(opened[list(sites)].sum() + (W * far).sum())


@pytest.mark.parametrize(
    ("opened", "least", "sets"),
    [
        ((5, 3, 4, 3, 5), 26.0, [(1, 2, 3)]),
        ((4, 4, 4, 4, 4), 28.0, [(0, 1, 2, 3), (0, 2, 3), (1, 2, 3)]),
    ],
)
def test_where_supplies_hang(
    opened: tuple[int, ...], least: float, sets: list[tuple[int, ...]]
) -> None:
    price = np.array(opened, dtype=float)
    every = [s for k in range(1, 6) for s in combinations(range(5), k)]
    costs = {s: cost_of(s, price) for s in every}
    assert min(costs.values()) == pytest.approx(least)
    assert sorted(s for s, c in costs.items() if c < least + 1e-9) == sorted(sets)
    market = replace(
        market_of(feed=0.0, metre=1.0),
        supplies=tuple(SupplyChoice("s", f"{x:g}", 5.0, 1000.0, 0.0, p, most=1)
                       for x, p in zip(SITES, opened, strict=True)),
    )  # fmt: skip
    lines = [
        line_of(np.array([0.1]), 0.1, 5.0, 4.0, w * np.abs(x - SITES)[:, None] + 1e-6)
        for x, w in zip(AT, W, strict=True)
    ]
    found = propose(lines, market)
    assert found.price == pytest.approx(least, abs=1e-3)
    assert tuple(sorted(unit.choice for unit in found.units)) in sets
