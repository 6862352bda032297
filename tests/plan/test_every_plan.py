"""What holds of every plan: in the true circuit, in its words, in its price; and again in ngspice.

The circuit judges the wired house as it judges any other, knowing nothing of the planner.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import ModuleType
from typing import Any

import numpy as np
import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from layouts.power_paths import feeders
from layouts.records import House
from sim.circuit import build, far_shorts, loads, utilisation, wire_uses
from sim.parts.records import Parts
from sim.plan.line_plan import pieces
from sim.plan.loadcase import full_codes
from sim.plan.plan import Plan, plan_house
from sim.plan.proposal import Infeasible
from sim.report.check import check_report

NAMES = (
    "drawn towards each other",
    "drawn from the middle",
    "all three ways round",
    "one pixel",
    "spare pixels",
    "a string",
    "four channels",
    "two voltages",
    "far from the socket",
    "one place without mains",
    "no places",
    "frost",
    "half wired",
)


@pytest.fixture(scope="module")
def planned(
    awkward: ModuleType, unfed: Callable[..., House], parts: Parts
) -> Callable[[str], Plan]:
    known: dict[str, Plan] = {}

    def made(name: str) -> Plan:
        if name not in known:
            runs, places, more = awkward.HOUSES[name]
            house = unfed(runs, places, **more)
            if name == "half wired":
                house = replace(house, wires=house.wires[:2])
            known[name] = plan_house(house, full_codes(house, 1.0), parts)
        return known[name]

    return made


def keeps_everything(plan: Plan) -> None:
    """In the true circuit: every limit, every short, every run; and nothing worth a warning."""
    network = build(plan.house)
    assert utilisation(network, loads(network, plan.codes)).max() <= 1 + 1e-9
    shorts = far_shorts(network)
    for wire, short in zip(plan.house.wires, shorts, strict=True):
        if wire.start.kind == "supply":
            assert wire.fuse_a is not None
        if wire.fuse_a is not None:
            assert short is not None, wire.label
            assert short.opens(wire.fuse_a), wire.label
            assert wire.fuse_a <= wire.size.ampacity_a
    assert all(feeders(plan.house).values())
    found = check_report(plan.house, []).all
    assert {finding.level for finding in found} <= {"note"}, found


def is_well_formed(plan: Plan) -> None:
    for run in plan.house.runs:
        assert all(0 < cut < run.count for cut in run.cuts)
        assert len(set(run.cuts)) == len(run.cuts)
    for wire in plan.house.wires:
        for end in (wire.start, wire.end):
            if end.kind == "run":
                assert 0 <= end.pad <= plan.house.run(end.name).count + 1
    names = [supply.name for supply in plan.house.supplies]
    assert len(set(names)) == len(names)
    for fed in plan.proposal.fed:
        pads = [feed.pad for feed in fed.plan.feeds]
        assert pads == sorted(set(pads))
        assert all(any(a <= pad < b for pad in pads) for a, b in pieces(fed.line, fed.plan))


def price_again(plan: Plan) -> tuple[float, float]:
    """The price from what the house file gains, and what rounding lengths up may add to it."""
    market = plan.proposal.market
    work = market.work
    per_m = {wire.name: wire.price_per_m for wire in market.wires}
    runs = {run.name for run in plan.house.runs}
    supplies = {supply.name for supply in plan.house.supplies}
    total = sum(market.supplies[unit.choice].price for unit in plan.proposal.units)
    rounding = 0.0
    for wire in plan.sections["wires"]:
        begin, end = (wire[key].split(".")[0].split("[")[0] for key in ("from", "to"))
        total += per_m[wire["wire"]] * float(wire["length"].removesuffix(" m"))
        rounding += per_m[wire["wire"]] * 0.02
        if "fuse" in wire:
            total += market.fuses[0].price
        if end in runs:
            total += work.joint if begin in runs else work.feed if begin in supplies else work.tap
        elif begin in supplies:
            total += work.trunk
    before = {run.name: len(run.cuts) for run in plan.before.runs}
    total += work.cut * sum(len(run.cuts) - before[run.name] for run in plan.house.runs)
    return total, rounding


def adds_up(plan: Plan) -> None:
    total, rounding = price_again(plan)
    assert total - rounding <= plan.price <= total + 1e-6
    assert 0 < plan.lower_bound <= plan.price + 1e-9


def has_the_least_fuses(plan: Plan) -> None:
    """The next smaller fuse that is sold would not carry its wire for hours."""
    network = build(plan.house)
    sold = sorted(each.rating_a for each in plan.proposal.market.fuses)
    load = plan.wanted.rules.fuse_load
    before = len(plan.before.wires)
    for use in wire_uses(network, loads(network, plan.codes))[before:]:
        if use.wire.fuse_a is not None:
            smaller = [each for each in sold if each < use.wire.fuse_a]
            assert not smaller or load * smaller[-1] < use.peak_a * 1.001, use.wire.label


@pytest.mark.parametrize("name", NAMES)
def test_awkward_houses(planned: Callable[[str], Plan], name: str) -> None:
    plan = planned(name)
    keeps_everything(plan)
    is_well_formed(plan)
    adds_up(plan)
    has_the_least_fuses(plan)


def test_all_awkward_houses_are_tried(awkward: ModuleType) -> None:
    assert set(NAMES) == set(awkward.HOUSES)


def test_no_supply_hangs_where_there_is_no_mains(planned: Callable[[str], Plan]) -> None:
    plan = planned("one place without mains")
    assert {supply.at for supply in plan.house.supplies} == {"hall"}
    assert any("gutter" in remark for remark in plan.remarks)


def test_what_is_wired_already_stays(planned: Callable[[str], Plan]) -> None:
    plan = planned("half wired")
    assert plan.house.wires[:2] == plan.before.wires
    assert plan.house.supplies[0] == plan.before.supplies[0]
    # 4.4 of 16 A go to the eave; the porch takes 3.3 A: nothing is bought
    assert len(plan.house.supplies) == 1


def test_every_voltage_has_its_own_supply(planned: Callable[[str], Plan]) -> None:
    assert {s.volts for s in planned("two voltages").house.supplies} == {5.0, 12.0}


def test_far_feeds_share_a_trunk(planned: Callable[[str], Plan]) -> None:
    plan = planned("far from the socket")
    assert any(fed.plan.trunks for fed in plan.proposal.fed)
    taps = [wire.start.name for wire in plan.house.wires if wire.start.kind == "junction"]
    assert taps
    assert set(taps) <= {wire.end.name for wire in plan.house.wires}


KINDS = ("ws2812b-v5", "ws2815", "ws2811-12v-group3", "sk6812-rgbw-warm")


@st.composite
def some_house(draw: st.DrawFn) -> tuple[list[dict], list[tuple], float]:
    runs: list[dict[str, Any]] = []
    x = 0.0
    for n in range(draw(st.integers(1, 3))):
        kind = draw(st.sampled_from(KINDS))
        length = draw(st.floats(0.3, 2.0))
        path = [[x, 3.0], [x + length, 3.0]]
        runs.append(
            {"name": f"r{n}", "pixels": kind, "path": path[:: draw(st.sampled_from((1, -1)))]}
        )
        x += length + draw(st.sampled_from((0.1, 0.9, 3.0)))
    places = [("p0", draw(st.floats(-2, 6)), 1.0), ("p1", draw(st.floats(-2, 6)), 2.0)]
    return runs, places[: draw(st.integers(0, 2))], draw(st.sampled_from((0.3, 0.6, 1.0)))


@settings(
    max_examples=20,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(some_house())
def test_any_house(
    unfed: Callable[..., House], parts: Parts, drawn: tuple[list[dict], list[tuple], float]
) -> None:
    runs, places, brightness = drawn
    house = unfed(runs, places)
    try:
        plan = plan_house(house, full_codes(house, brightness), parts)
    except Infeasible:
        assume(False)
    keeps_everything(plan)
    is_well_formed(plan)
    adds_up(plan)


@pytest.mark.outside
@pytest.mark.parametrize("name", NAMES)
def test_ngspice_finds_the_same(
    planned: Callable[[str], Plan], again: Callable[[House, np.ndarray], None], name: str
) -> None:
    plan = planned(name)
    again(plan.house, plan.codes[0])
