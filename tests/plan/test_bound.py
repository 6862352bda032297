"""The bound of a line against every stretch looked at one by one, and against true plans."""

import numpy as np
import pytest

from sim.plan.bound import least_price
from sim.plan.cover import cover
from sim.plan.records import FuseChoice, Line, Market, SupplyChoice, WireChoice, WorkPrices


def market(rng):
    wires = tuple(
        WireChoice(f"w{n}", ohm, most, 0.8 * most, price)
        for n, (ohm, most, price) in enumerate(
            ((0.04, 6.0, 0.8), (0.02, 10.0, 1.3), (0.01, 20.0, 2.6))[: rng.integers(1, 4)]
        )
    )
    fuses = tuple(
        FuseChoice(a, 0.08 / a, float(rng.uniform(0.2, 0.6))) for a in (1.0, 2.0, 3.0, 5.0, 10.0)
    )
    supplies = tuple(
        SupplyChoice(f"s{n}", f"box-{n % 2}", 5.0, float(rng.choice([2.0, 6.0])), 0.0, 20.0)
        for n in range(rng.integers(1, 5))
    )
    work = WorkPrices(feed=float(rng.uniform(1, 9)), cut=float(rng.uniform(0, 4)), joint=3.0, tap=9)
    return Market(supplies, wires, fuses, work)


def line(rng, supplies):
    m = int(rng.integers(5, 20))
    start = np.zeros(m, dtype=bool)
    start[0] = True
    gap = np.zeros(m)
    if m > 9:
        start[m // 2] = True
        gap[m // 2] = rng.choice([0.0, 0.7])  # 0: nothing joins the two runs
    steps = rng.uniform(0.005, 0.2, m)
    steps[start] = 0.0
    return Line(
        name="line",
        volts=5.0,
        rail_ohm=np.cumsum(steps),
        demand_a=rng.uniform(0, 0.4, (int(rng.integers(1, 4)), m)),
        need_v=4.2,
        pad=rng.random(m) < 0.3,
        cut=rng.random(m) < 0.6,
        gap_m=gap,
        start=start,
        reach_m=rng.uniform(0.5, 8.0, (supplies, m))
        + rng.choice([0, np.inf], (supplies, 1), p=[0.9, 0.1]),
        pixel=np.ones(m, dtype=bool),
        node=np.arange(m),
    )  # fmt: skip


def plainly(on, offer):
    """The relaxation as its words say it: every stretch, pad, supply, wire and fuse in turn."""
    m, rules = on.size, offer.rules
    best = np.full(m + 1, np.inf)
    best[0] = 0.0
    for i in range(m):
        for j in range(i, m):
            if any(on.start[k] and on.gap_m[k] == 0 for k in range(i + 1, j + 1)):
                break
            ends = j + 1 if j + 1 == m or on.start[j + 1] else j + 2
            amps = on.demand_a[:, i : j + 1].sum(axis=1)
            for wire in offer.wires:
                rail = on.rail_ohm + np.cumsum(on.gap_m) * wire.loop_ohm_per_m
                joints = np.count_nonzero(on.gap_m[i + 1 : j + 1])
                joining_m = on.gap_m[i + 1 : j + 1].sum()
                for p in np.flatnonzero(on.pad[i : j + 1]) + i:
                    away = np.arange(i, j + 1)
                    drawn = on.demand_a[:, away] * np.abs(rail[away] - rail[p])
                    lost = np.maximum(drawn[:, away <= p].sum(1), drawn[:, away >= p].sum(1))
                    for k, supply in enumerate(offer.supplies):
                        far_m = on.reach_m[k, p]
                        room = rules.supply_load * supply.rated_a
                        if not np.isfinite(far_m) or amps.max() > min(room, wire.carries_a):
                            continue
                        carry = [f for f in offer.fuses
                                 if rules.fuse_load * f.rating_a >= amps.max()]  # fmt: skip
                        if not carry or carry[0].rating_a > wire.fuse_most_a:
                            continue
                        ohm = wire.loop_ohm_per_m * far_m + carry[0].cold_ohm
                        least_v = max(on.need_v, (1 - rules.most_drop) * supply.volts)
                        if (supply.volts - amps * ohm - lost).min() < least_v - 1e-9:
                            continue
                        price = offer.work.feed + carry[0].price + offer.work.joint * joints
                        price += wire.price_per_m * (far_m + joining_m)
                        best[ends] = min(best[ends], best[i] + price)
    return best[m]


@pytest.mark.parametrize("seed", range(60))
def test_every_stretch_looked_at_one_by_one_gives_the_same(seed):
    rng = np.random.default_rng(seed)
    offer = market(rng)
    on = line(rng, len(offer.supplies))
    assert least_price(on, offer) == pytest.approx(plainly(on, offer), rel=1e-9)
    # What `cover` finds keeps more rules, so it cannot be cheaper.
    found, _ = cover(on, offer, np.zeros(len(offer.supplies)))
    assert least_price(on, offer) <= found + 1e-9


def test_the_lines_are_no_empty_ones():
    finite = []
    for seed in range(60):
        rng = np.random.default_rng(seed)
        offer = market(rng)
        finite.append(np.isfinite(least_price(line(rng, len(offer.supplies)), offer)))
    assert 20 < sum(finite) < 60
