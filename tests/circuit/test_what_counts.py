"""Small things that a report hangs on: which voltage, which copper, which limit."""

from types import SimpleNamespace

import numpy as np
import pytest

from sim.circuit import (
    bracket,
    build,
    critical_frames,
    exceeds,
    far_shorts,
    loads,
    run_uses,
    solve,
    solve_constant,
    unreached_findings,
    utilisation,
    wire_uses,
)
from sim.circuit.fuse_opening import Short
from sim.circuit.limits import load_findings
from sim.circuit.loading import WireUse
from sim.circuit.segments import segments
from sim.circuit.short_circuit import amps_in_turn, ports
from sim.report.wording import sentence


def full(house, code=255, frames=1):
    return np.full((frames, len(house.pixels), 4), code, dtype=np.uint8)


def test_of_joined_supplies_the_higher_voltage_is_what_a_run_could_get(make: SimpleNamespace):
    supplies = [make.supply("low", 4.8, 0.02), make.supply("high", 5.2, 0.02)]
    wires = [("low", "a.start", "14 AWG", 1.0), ("high", "a.end", "14 AWG", 1.0)]
    network = build(make.house({"a": (make.kind(), 20)}, supplies, wires))
    assert network.feed_v == pytest.approx(np.full(20, 5.2))
    assert network.feeds.tolist() == [[True], [True]]
    (use,) = run_uses(network, loads(network, full(network.house)))
    assert use.feed_v == 5.2
    assert use.drop == pytest.approx(1 - use.min_v / 5.2)


def test_each_piece_of_a_cut_run_is_measured_against_its_own_supply(make: SimpleNamespace):
    supplies = [make.supply("one", 5.0), make.supply("two", 5.4)]
    wires = [("one", "a.start", "14 AWG", 0.2), ("two", "a.end", "14 AWG", 0.2)]
    house = make.house({"a": (make.kind(), 60)}, supplies, wires, cuts={"a": (10,)})
    network = build(house)
    assert network.feed_v.tolist() == [5.0] * 10 + [5.4] * 50
    assert network.feeds.tolist() == [[True], [True]]
    codes = full(house)
    codes[:, :10] = 0
    (use,) = run_uses(network, loads(network, codes))
    # the dark side has the least volts and loses next to nothing of its own supply's
    assert (use.feed_v, use.min_v_pixel < 10) == (5.0, True)
    assert use.drop < 0.01


def test_where_dimming_alone_binds_it_makes_the_ceiling(make: SimpleNamespace):
    """Full colour wants 4.75 V: gone long before 10 % of the voltage is lost."""
    kind = make.kind(headroom_v=1.45)  # blue: 3.3 + 1.45 V
    wires = [("psu", "a.start", "12 AWG", 0.5, 20.0)]
    house = make.house({"a": (kind, 120)}, [make.supply()], wires)
    network = build(house)
    ceiling = bracket(network, lambda b: full(house, round(255 * b)))
    assert ceiling.limit == "the voltage along run a"
    assert 0.1 < ceiling.brightness < 0.95
    at, above = (
        loads(network, full(house, round(255 * (ceiling.brightness + more))))
        for more in (0, 1 / 128)
    )
    assert at.run_dim.min() == 1
    assert above.run_dim.min() < 1
    assert above.run_v.min() > 0.9 * 5
    assert above.run_v.min() > kind.min_v


@pytest.mark.parametrize("temperature_c", [-25.0, 20.0, 60.0])
def test_the_drop_of_a_wire_is_that_of_its_copper_as_warm_as_it_is(
    make: SimpleNamespace, temperature_c: float
):
    wires = [("psu", "a.start", "18 AWG", 5.0, 5.0)]
    house = make.house({"a": (make.kind(), 30)}, [make.supply()], wires, temperature_c)
    network = build(house)
    (use,) = wire_uses(network, loads(network, full(house)))
    # copper 1/58 Ω·mm²/m (IEC 60028), 0.00393 /K (IACS); fuse of 5 A 17 mΩ (from memory)
    ohm = 2 * 5.0 / (58 * 0.8230) * (1 + 0.00393 * (temperature_c - 20)) + 0.017
    assert use.drop_v == pytest.approx(use.peak_a * ohm, rel=1e-9)


def test_minus_counts_where_it_carries_more(make: SimpleNamespace):
    """One side of a cut is lit: its return goes both ways, its + does not."""
    thin = make.wire(0.02, ampacity_a=1.2)
    wires = [("psu", "a.start", "16 AWG", 8.0, 10.0), ("psu", "a.end", thin, 0.5, 1.0)]
    kind = make.kind(rail_ohm_per_m=0.02)
    house = make.house({"a": (kind, 120)}, [make.supply()], wires, cuts={"a": (110,)})
    network = build(house)
    codes = full(house)
    codes[:, 110:] = 0
    seen = loads(network, codes)
    _, use = wire_uses(network, seen)
    assert use.peak_a < 0.02
    assert use.minus_peak_a == pytest.approx(abs(seen.wire_minus_a[0, 1]))
    assert use.most_a == use.minus_peak_a > 1.2
    found = load_findings((), (use,), (), np.zeros(0))
    assert [(each.level, each.code) for each in found] == [("danger", "wire-overload")]
    wire_column = 2  # one supply, then whether it is pushed, then the wires
    used = utilisation(network, seen)[0, wire_column + 1]
    assert used == pytest.approx(use.minus_peak_a / (0.8 * 1.2))
    # back through one conductor, out through the other
    assert use.drop_v == pytest.approx(
        use.peak_a / network.values.plus_s[network.wire_edge[1]]
        + use.minus_peak_a / network.values.minus_s[network.wire_edge[1]]
    )


@pytest.mark.parametrize(
    ("amps", "code"),
    # 80 % of what its fuse table lets 18 and 16 AWG carry, 7 and 10 A: 5.6 and 8 A for hours (NEC
    # 240.4(D) and 125 % of continuous load, from memory)
    [
        ((5.6, 8.0), None),
        ((5.6 * (1 + 1e-9), 8 * (1 + 1e-9)), "wire-load"),
        ((7.0, 10.0), "wire-load"),
        ((7 * (1 + 1e-9), 10 * (1 + 1e-9)), "wire-overload"),
    ],
)
def test_for_hours_a_wire_carries_four_fifths(make: SimpleNamespace, amps: tuple, code: str):
    wires = [("psu", "a.start", "18 AWG", 1.0), ("psu", "a.end", "16 AWG", 1.0)]
    house = make.house({"a": (make.kind(), 5)}, [make.supply()], wires)
    for wire, peak_a in zip(house.wires, amps, strict=True):
        found = load_findings((), (WireUse(wire, 1.0, peak_a, 0, 1.0, 0.1),), (), np.zeros(0))
        assert [each.code for each in found] == ([code] if code else [])


def test_rounding_is_no_excess_and_five_percent_is(make: SimpleNamespace):
    """60 pixels of 37 mA: 2.22 A, of which 80 % of the rating may flow."""
    wires = [("psu", "a.start", "12 AWG", 0.5, 20.0)]
    for over, found in ((1e-7, False), (1e-5, True), (0.04, True)):
        supply = make.supply(rated_a=60 * 0.037 / 0.8 / (1 + over))
        network = build(make.house({"a": (make.kind(), 60)}, [supply], wires))
        seen = loads(network, full(network.house))
        assert exceeds(network, seen) is found
        assert critical_frames(network, seen).tolist() == [0]


def test_a_fuse_in_a_ring_counts_only_what_comes_from_the_supply(make: SimpleNamespace):
    """A fused wire over part of a run that is fed from both sides: shorts on one side drive
    current through it backwards; they are not behind it."""
    wires = [
        ("psu", "a.start", "14 AWG", 0.5, 30.0),
        ("psu", "a.end", "18 AWG", 200.0, 30.0),
        ("a[5]", "a[25]", "14 AWG", 0.5, 2.0),
    ]
    kind = make.kind(rail_ohm_per_m=0.5)
    network = build(make.house({"a": (kind, 30)}, [make.supply()], wires))
    flow = solve_constant(network, np.full(30, 0.02)).wire_a[0, 2]
    assert flow > 0
    small = segments(network)
    ends = network.edge[network.wire_edge]
    found = ports(small, small.of_edge[network.wire_edge], small.number[ends], np.arange(30))
    amps = amps_in_turn(found, np.array([30.0, 30.0, 2.0]))[2]
    assert amps.min() < -1e-3  # some places do drive it backwards
    short = far_shorts(network)[2]
    assert short.amps == pytest.approx(amps[amps > 0].min())
    assert short.amps > np.abs(amps).min()


def test_loads_that_differ_by_a_ten_thousandth_are_not_the_same(make: SimpleNamespace):
    """Two feeds of nearly one length: the nearer opens first, then the other carries all."""
    wires = [("psu", "a.start", "18 AWG", 1.0, 5.0), ("psu", "a.start", "18 AWG", 1.0002, 5.0)]
    house = make.house({"a": (make.kind(), 2)}, [make.supply()], wires)
    first, second = far_shorts(build(house))
    wire = 1 / (58 * 0.8230)
    rail = 1.5 / 60 * 0.1
    one, other = wire + 0.017, wire * 1.0002 + 0.017
    back = wire * 1.0002 / 2.0002 + rail
    both = 5 / (one * other / (one + other) + rail + back)
    assert first.amps == pytest.approx(both * other / (one + other))
    assert second.amps == pytest.approx(5 / (other + rail + back))
    same = [("psu", "a.start", "18 AWG", 1.0, 5.0), ("psu", "a.start", "18 AWG", 1.0, 5.0)]
    alike = far_shorts(build(make.house({"a": (make.kind(), 2)}, [make.supply()], same)))
    assert alike[0].amps == pytest.approx(alike[1].amps)
    assert alike[0].amps == pytest.approx(5 / (one / 2 + wire / 2 + 2 * rail) / 2)


@pytest.mark.parametrize(("amps", "opens"), [(10.0, True), (9.999999, False)])
def test_a_fuse_opens_at_twice_its_rating(amps: float, opens: bool):
    # 200 %: 0.15-5 s, ATO (a maker's data sheet, 2nd hand)
    assert Short(amps, "there", 20.0).opens(5.0) is opens


def test_what_no_supply_reaches_is_told(make: SimpleNamespace):
    wires = [("psu", "a.start", "18 AWG", 1.0, 5.0), ("psu", "a.end", "18 AWG", 1.0, 5.0)]
    wires += [("b.start", "c.end", "18 AWG", 1.0)]
    runs = {"a": (make.kind(), 60), "b": (make.kind(), 5), "c": (make.kind(), 7)}
    house = make.house(runs, [make.supply()], wires, cuts={"a": (20, 21, 30)})
    network = build(house)
    a, b, c = unreached_findings(network)
    assert (a.level, a.code, a.where, a.value) == ("warning", "unreached", "a", 10)
    assert "pixels 20 to 29 of run a" in sentence(a)
    assert [each.target for each in a.remedies] == ["a[20]"]
    assert (b.where, b.value, c.where, c.value) == ("b", 5, "c", 7)
    # what is dark and told is no limit that a lower brightness would keep
    seen = loads(network, full(house, 40))
    assert seen.run_v[0, 0] == solve(network, full(house, 40)).volts[0, np.r_[:20, 30:60]].min()
    assert utilisation(network, seen).max() <= 1
    assert load_findings((), (), run_uses(network, seen), np.zeros(0)) == ()
    assert unreached_findings(build(make.house({"a": (make.kind(), 5)}, [], []))) == ()


@pytest.mark.parametrize("pixels", [1, 5])
def test_a_house_that_waits_for_its_wires_is_dark_and_draws_nothing(
    make: SimpleNamespace, pixels: int
):
    house = make.house({"a": (make.kind(), pixels)}, [make.supply()], [])
    network = build(house)
    assert [each.where for each in unreached_findings(network)] == ["a"]
    # without current there is no drop (Ohm): nothing flows, and only the supply has its volts
    for codes in (full(house), full(house, frames=60)):  # few frames are worked out apart
        solution = solve(network, codes)
        assert not solution.volts.any()
        assert not solution.amps.any()
    asked = loads(network, full(house, frames=3))
    for name in ("supply_a", "run_v", "dc_w"):
        assert not getattr(asked, name).any(), name
