"""Three judges of one design tell the same: all designs' dense matrices, the planner's ladders,
and the circuit of the wired house. Then the planner on those houses, as `plan_house` goes about it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from layouts.catalogue import kinds
from layouts.power_paths import unfed_pieces
from layouts.records import House
from sim.circuit import build, far_shorts, solve
from sim.circuit.law import law
from sim.parts.records import Parts
from sim.plan.line_plan import Feed, LinePlan, judged, pieces
from sim.plan.lines import demand_of, lines_of
from sim.plan.loadcase import full_codes
from sim.plan.market import Box, market_of
from sim.plan.packing import Unit
from sim.plan.proposal import Fed, Infeasible, Proposal, propose
from sim.plan.records import Line, Market, Rules
from sim.plan.routing import cable_net
from sim.plan.wired import agreement, wired

SEEDS = range(20)


@dataclass(frozen=True)
class Small:
    """A real house of one run, as the planner sees it."""

    house: House
    codes: np.ndarray
    line: Line
    market: Market
    boxes: list[Box]


@pytest.fixture(scope="module")
def small(unfed: Callable[..., House], parts: Parts) -> Callable[[int], Small]:
    def made(seed: int) -> Small:
        r = np.random.default_rng([11, seed])
        series = seed % 2
        kind = replace(
            kinds()["ws2815" if series else "ws2812b-v5"],
            pitch_m=0.1,
            rail_ohm_per_m=float(r.uniform(1.5, 4) if series else r.uniform(0.2, 0.6)),
        )
        channels = tuple(replace(c, current_ma=float(r.uniform(30, 90))) for c in kind.channels)
        kind = replace(kind, channels=channels)
        n = int(r.integers(14, 25))
        house = unfed(
            [{"name": "a", "pixels": kind, "path": [[0, 3], [n * 0.1, 3]], "count": n}],
            [("shed", float(r.uniform(-1, 3)), 0.5)],
            temperature_c=float(r.uniform(-20, 40)),
        )
        codes = full_codes(house, 1.0)
        if seed % 3 == 0:  # parts of the run one by one
            codes = np.repeat(codes, 2, axis=0)
            codes[0, : n // 2], codes[1, n // 2 :] = 20, 20
            codes[..., 3] = 0
        hot_c = house.temperature_c
        boxes = [Box("shed", house.places[0].xy_m, True)]
        market, _ = market_of(house, parts, boxes, Rules(), hot_c)
        # so few that all designs can be tried
        market = replace(market, wires=market.wires[:3], supplies=market.supplies[:2])
        demand = demand_of(law(house), codes, house.pixels.spare)
        net = cable_net(house, {"shed": boxes[0].at_m})
        bare = list(unfed_pieces(house))
        (line,) = lines_of(house, bare, demand, net, np.zeros(2, int), 0.3, hot_c)
        pad, cut = np.zeros((2, line.size), dtype=bool)
        pad[np.linspace(0, line.size - 1, 6).round().astype(int)] = True
        cut[r.choice(np.flatnonzero(line.cut), 3, replace=False)] = True
        line = replace(line, pad=pad, cut=cut, reach_m=np.ceil(line.reach_m * 100 - 1e-6) / 100)
        return Small(house, codes, line, market, boxes)

    return made


def some_designs(case: Small, enumerated: ModuleType) -> list[Any]:
    """Designs with volts enough, spread from the cheapest up."""
    hopeful: list[Any] = []
    for n, some in enumerate(enumerated._batches(case.line, case.market, 2)):
        hopeful += enumerated._hopeful(case.line, case.market, some)
        if len(hopeful) >= 60 or n > 40:
            break
    return hopeful[:60:10]


def proposal_of(case: Small, tried: Any) -> Proposal | None:
    """A design as a proposal for its house."""
    feeds = tuple(Feed(pad, tried.supply, wire) for pad, wire in tried.feeds)
    plan = LinePlan(feeds, frozenset(tried.cuts))
    verdict = judged(case.line, case.market, plan, np.zeros(2))
    if verdict is None:
        return None
    own = tuple((0, n) for n in range(len(pieces(case.line, plan))))
    unit = Unit(tried.supply, tuple(range(len(own))))
    fed = (Fed(case.line, plan, verdict),)
    return Proposal(case.market, fed, (unit,), own, tried.price, 0.0)


@pytest.mark.parametrize("seed", SEEDS)
def test_volts_and_shorts_are_the_same(
    small: Callable[[int], Small], enumerated: ModuleType, seed: int
) -> None:
    case = small(seed)
    line, rules = case.line, case.market.rules
    pixel = line.node[line.pixel]
    compared = shorted = 0
    for tried in some_designs(case, enumerated):
        made = proposal_of(case, tried)
        if made is None:
            continue
        compared += 1
        (fed,) = made.fed
        rated = np.array([case.market.fuses[g].rating_a for g in fed.verdict.fuse])
        rails = enumerated.Rails(line, case.market, tried, fed.verdict.fuse)
        dense = rails.loaded(line.demand_a)[0][line.pixel]
        network = build(wired(case.house, made, case.boxes))
        true = solve(network, case.codes).volts[:, pixel]
        assert np.abs(true - dense.T).max() < 1e-6
        need = max(line.need_v, (1 - rules.most_drop) * line.volts)
        assert fed.verdict.spare_v == pytest.approx(true.min() - need, abs=1e-6)
        told = far_shorts(network)
        amps = np.array([short.amps for short in told])
        assert amps == pytest.approx(rails.least_short_a(rated), abs=1e-5)
        if np.isfinite(fed.verdict.opening).all():
            shorted += 1
            share = amps / (rules.opens * rated)
            assert fed.verdict.opening == pytest.approx(share, abs=1e-6)
        keeps = enumerated.keeps_all(line, case.market, tried)
        assert fed.verdict.ok == keeps
        lacks = agreement(case.house, case.codes, case.boxes, rules.most_drop)(made)
        assert (lacks <= 0) == keeps
    assert compared >= 3
    assert shorted >= 1


def test_the_planner_finds_the_cheapest_wiring_of_real_houses(
    small: Callable[[int], Small], enumerated: ModuleType
) -> None:
    ratio = {}
    for seed in range(40):
        case = small(seed)
        try:
            truth = enumerated.cheapest(case.line, case.market, most=6000)
        except enumerated.TooMany:
            continue
        judge = agreement(case.house, case.codes, case.boxes, case.market.rules.most_drop)
        found = propose([case.line], case.market, judge)
        assert judge(found) <= 0
        assert found.lower_bound <= truth.price + 1e-9
        ratio[seed] = found.price / truth.price
    assert len(ratio) >= 20
    each = np.array(list(ratio.values()))
    assert each.min() > 1 - 1e-9
    assert each.max() <= 1.05, ratio
    assert (each > 1 + 1e-9).sum() <= 0.05 * len(each), ratio


@pytest.mark.outside
@pytest.mark.parametrize("seed", SEEDS)
def test_ngspice_finds_the_same(
    small: Callable[[int], Small], again: Callable[[House, np.ndarray], None], seed: int
) -> None:
    case = small(seed)
    judge = agreement(case.house, case.codes, case.boxes, case.market.rules.most_drop)
    try:
        found = propose([case.line], case.market, judge)
    except Infeasible:
        return
    for codes in case.codes:
        again(wired(case.house, found, case.boxes), codes)
