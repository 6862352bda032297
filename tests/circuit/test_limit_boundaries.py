"""At its limit nothing is found; the least step beyond, it is. And what would mend it."""

import numpy as np
import pytest

from layouts.finding import Remedy
from sim.circuit import (
    RunUse,
    SupplyUse,
    WireUse,
    build,
    class_2_findings,
    load_findings,
    loads,
    short_findings,
)
from sim.circuit.fuse_opening import Short
from sim.circuit.limits import utilisation

STEP = 1 + 1e-6


@pytest.fixture
def house(make):
    """One strip of 60 pixels on 18 AWG, which may carry 7 A, behind 5 A."""
    wires = [("psu", "a.start", "18 AWG", 1.0, 5.0)]
    return make.house({"a": (make.kind(), 60)}, [make.supply(rated_a=5.0)], wires)


def told(supplies=(), wires=(), runs=(), least_a=0.0):
    least = np.full(len(supplies), least_a)
    return {each.code: each for each in load_findings(supplies, wires, runs, least)}


@pytest.mark.parametrize(
    ("peak_a", "code"),
    # 80 % of 5 A: NEC 210.20(A), see layouts/catalogue/limits.yaml
    [
        (4.0, None),
        (4.0 * STEP, "supply-load"),
        (5.0, "supply-load"),
        (5.0 * STEP, "supply-overload"),
    ],
)
def test_a_supply(house, peak_a, code):
    found = told(supplies=[SupplyUse(house.supplies[0], 5.0, peak_a, 0, 1.0)])
    assert list(found) == ([code] if code else [])
    for one in found.values():
        assert one.value == peak_a
        assert one.limit == pytest.approx(5.0 if code == "supply-overload" else 4.0)
        assert Remedy("larger-supply", "psu", peak_a / 0.8, "A") in one.remedies


@pytest.mark.parametrize(("least_a", "pushed"), [(-0.001, False), (-0.001001, True)])
def test_a_supply_pushed(house, least_a, pushed):
    found = told(supplies=[SupplyUse(house.supplies[0], 5.0, 1.0, 0, 1.0)], least_a=least_a)
    assert ("supply-backfed" in found) is pushed


@pytest.mark.parametrize(
    ("peak_a", "codes"),
    # 75 % of 5 A: a fuse maker's guide; 18 AWG carries 7 A in this test's table
    [
        (3.75, set()),
        (3.75 * STEP, {"fuse-load"}),
        (5.0, {"fuse-load"}),
        (5.0 * STEP, {"fuse-overload"}),
        # 80 % of 7 A for hours on end
        (5.6, {"fuse-overload"}),
        (5.6 * STEP, {"fuse-overload", "wire-load"}),
        (7.0, {"fuse-overload", "wire-load"}),
        (7.0 * STEP, {"fuse-overload", "wire-overload"}),
    ],
)
def test_a_wire_and_its_fuse(house, peak_a, codes):
    found = told(wires=[WireUse(house.wires[0], 1.0, peak_a, 0, 1.0, 0.1)])
    assert set(found) == codes


def test_the_next_fuse_is_told_and_a_wire_for_it(house):
    wire = house.wires[0]
    # 4 A / 75 % = 5.33 A: the next rating is 7.5 A, more than this wire's 7 A
    (found,) = told(wires=[WireUse(wire, 1.0, 4.0, 0, 1.0, 0.1)]).values()
    assert Remedy("larger-fuse", wire.label, 7.5, "A") in found.remedies
    assert Remedy("thicker-wire", wire.label, 7.5, "A") in found.remedies
    assert Remedy("add-feed", "a.start") in found.remedies


@pytest.mark.parametrize(
    ("volts", "dim", "codes"),
    [
        (3.7, 1.0, {"voltage-drop"}),
        (3.7 / STEP, 1.0, {"voltage-drop", "pixel-voltage"}),
        (4.9, 1.0, set()),
        (4.9, 1 - 2e-9, {"colour-lost"}),
    ],
)
def test_a_pixel(house, volts, dim, codes):
    found = told(runs=[RunUse(house.runs[0], 1.0, 1.0, 0, 1.0, 5.0, volts, 41, 0, dim)])
    assert set(found) == codes
    for one in found.values():
        assert Remedy("add-feed", "a[41]") in one.remedies


@pytest.mark.parametrize(
    ("lost", "level"),
    # 5 and 10 %: common practice, no source
    [(0.04, None), (0.0500001, "note"), (0.0999999, "note"), (0.1000001, "warning")],
)
def test_a_drop(house, lost, level):
    found = told(runs=[RunUse(house.runs[0], 1.0, 1.0, 0, 1.0, 5.0, 5 * (1 - lost), 7, 0, 1.0)])
    assert [one.level for one in found.values()] == ([level] if level else [])


@pytest.mark.parametrize(("amps", "found"), [(5.0, False), (5.0001, True)])
def test_class_2(make, amps, found):
    # NEC chapter 9 table 11(B): 25 W at 5 V
    assert bool(class_2_findings([make.supply(volts=5, rated_a=amps)])) is found


@pytest.mark.parametrize(("volts", "most_w"), [(20, 100), (20.01, 100), (30, 100)])
def test_class_2_at_the_edges_of_its_rows(make, volts, most_w):
    assert class_2_findings([make.supply(volts=volts, rated_a=most_w / volts)]) == ()
    assert class_2_findings([make.supply(volts=volts, rated_a=most_w / volts * 1.001)])


def test_no_source_above_thirty_volts_is_class_2(make):
    (found,) = class_2_findings([make.supply(volts=30.01, rated_a=0.1)])
    assert found.limit is None


@pytest.mark.parametrize(
    ("amps", "rated_a", "codes"),
    # 5 A opens at 10 A; the supply surely gives 110 % of its rating
    [
        (10.0, 20.0, []),
        (9.999, 20.0, ["far-short"]),
        (10.0, 10 / 1.1, []),
        (10.0, 9.09, ["supply-limits-short"]),
    ],
)
def test_a_far_short(house, make, amps, rated_a, codes):
    found = short_findings(build(house), (Short(amps, "the end of run a", rated_a),))
    assert [one.code for one in found] == codes
    if codes == ["far-short"]:
        # 9.999 / 2 A: the largest fuse that surely opens is the one of 4 A
        assert Remedy("smaller-fuse", house.wires[0].label, 4, "A") in found[0].remedies
        assert Remedy("cut", "the end of run a") in found[0].remedies


@pytest.mark.parametrize(("amps", "holds"), [(5.499, True), (5.5, False)])
def test_a_fuse_holds_below_eleven_tenths(house, amps, holds):
    # ATO: 110 % for 100 hours (from memory), layouts/catalogue/fuses.yaml
    (found,) = short_findings(build(house), (Short(amps, "there", 20.0),))
    assert found.detail["holds"] is holds


def test_utilisation_is_one_at_the_limit(house):
    network = build(house)
    seen = loads(network, np.full((1, 60, 4), 255, dtype=np.uint8))
    used = utilisation(network, seen)[0]
    assert used[0] == pytest.approx(seen.supply_a[0, 0] / 4.0)
    assert used[2] == pytest.approx(abs(seen.wire_a[0, 0]) / 3.75)
