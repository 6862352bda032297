"""Broken circuits against ngspice on a netlist with both rails: opens, wet joints, shorts, sags.

A fault is done to the netlist by itself: an element taken out, one of other ohms put in, a resistor
laid between + and −. It shares nothing with `sim.upkeep`.
"""

from collections.abc import Callable
from types import SimpleNamespace

import numpy as np
import pytest

from layouts.faults import Fault
from layouts.records import House
from sim.circuit import build, kirchhoff_residual_a, power, solve
from sim.upkeep.faults_circuit import circuit_with

pytestmark = pytest.mark.outside

MICROVOLT, MICROAMPERE = 1e-6, 1e-6
RAIL_OHM = 0.1 / 60


def ring(make: SimpleNamespace) -> House:
    """Two runs, one fed three times, one hanging on its end; two supplies whose − are joined."""
    kind = make.kind(rail_ohm_per_m=0.1)
    wires = [
        ("psu", "a.start", "18 AWG", 2.0, 5.0),
        ("psu", "a.end", "18 AWG", 3.0, 3.0),
        ("psu", "a[40]", "16 AWG", 2.0),
        ("a.end", "b.start", "18 AWG", 0.5),
        ("two", "b.end", "16 AWG", 1.0, 5.0),
    ]
    supplies = [make.supply(ohm=0.01), make.supply("two", 5.0, 0.02)]
    return make.house({"a": (kind, 80), "b": (kind, 30)}, supplies, wires, cuts={"b": (20,)})


def netlist_of(house: House, fault: Fault) -> tuple[list[str], list[str]]:
    """The elements taken out and the lines put in for one fault."""
    poles = {"plus": "p", "minus": "n"}
    if fault.kind == "dead":
        return [f"Bpixel_{fault.run}_{fault.position}"], []
    if fault.kind == "short":
        place = f"{fault.run}_{fault.position + 1}"
        return [], [f"Rshort_{place} p_{place} n_{place} {fault.ohm!r}"]
    if fault.kind == "sag":
        s = [supply.name for supply in house.supplies].index(fault.supply)
        return [f"Vsupply_{s}"], [f"Vsag_{s} inner_{s} n_{fault.supply} {fault.volts!r}"]
    if fault.kind == "off":
        s = [supply.name for supply in house.supplies].index(fault.supply)
        return [f"Vsupply_{s}"], []
    of = [poles[fault.conductor]] if fault.conductor else ["p", "n"]
    gone, more = [], []
    for pole in of:
        if fault.wire is not None:
            gone.append(f"Rwire_{pole}_{fault.wire}")
            continue
        count = house.run(fault.run).count
        name = f"Rrail_{pole}_{fault.run}_{fault.position}"
        gone.append(name)
        if fault.kind == "joint":
            ohm = RAIL_OHM / 2 if fault.position in (0, count) else RAIL_OHM
            a, b = (f"{pole}_{fault.run}_{fault.position + k}" for k in (0, 1))
            more.append(f"{name}_wet {a} {b} {ohm + fault.ohm!r}")
    return gone, more


def agrees(make: SimpleNamespace, both: Callable, faults: list[Fault], seed: int) -> None:
    house = ring(make)
    network = circuit_with(build(house), faults)
    assert network.reach.whole
    codes = np.random.default_rng(seed).integers(0, 256, (1, 110, 4)).astype(np.uint8)
    solution = solve(network, codes)
    assert kirchhoff_residual_a(solution).max() < 1e-9
    assert np.abs(power(solution).imbalance_w).max() < 1e-7
    done = [netlist_of(house, fault) for fault in faults]
    gone, more = ([line for each in done for line in each[k]] for k in (0, 1))
    theirs = both(house, codes[0], gone, more)
    assert np.abs(solution.volts[0] - theirs.plus_v + theirs.minus_v).max() < MICROVOLT
    assert np.abs(solution.minus_v[0] - theirs.minus_v).max() < MICROVOLT
    assert np.abs(solution.wire_a[0] - theirs.plus_a).max() < MICROAMPERE
    assert np.abs(solution.wire_minus_a[0] - theirs.minus_a).max() < MICROAMPERE


SINGLE = [
    Fault("open", "a", 12, "plus"),
    Fault("open", "a", 60, "minus"),
    Fault("open", "a", 0, "plus"),
    Fault("open", wire=1, conductor="minus"),
    Fault("joint", "a", 25, ohm=0.4),
    Fault("joint", "a", 25, "minus", ohm=2.0),
    Fault("joint", "b", 0, "plus", ohm=0.3),
    Fault("joint", "a", 80, ohm=0.2),
    Fault("short", "a", 33, ohm=1.5),
    Fault("short", "b", 25, ohm=0.3),
    Fault("short", "a", 0, ohm=0.05),
    Fault("sag", supply="psu", volts=4.1),
    Fault("dead", "a", 3),
]


@pytest.mark.parametrize("fault", SINGLE, ids=lambda f: f"{f.kind}-{f.run}-{f.position}-{f.wire}")
def test_one_fault(make: SimpleNamespace, both: Callable, fault: Fault) -> None:
    agrees(make, both, [fault], seed=1)


@pytest.mark.parametrize("seed", range(8))
def test_several_at_once(make: SimpleNamespace, both: Callable, seed: int) -> None:
    rng = np.random.default_rng(seed)
    faults = [
        Fault("open", "a", int(rng.integers(1, 40)), ("plus", "minus")[seed % 2]),
        Fault("joint", "a", int(rng.integers(41, 80)), ohm=float(rng.uniform(0.05, 1.0))),
        Fault("short", "ab"[seed % 2], int(rng.integers(0, 20)), ohm=float(rng.uniform(0.4, 3.0))),
        Fault("joint", "b", int(rng.integers(1, 20)), "minus", ohm=float(rng.uniform(0.05, 1.0))),
        Fault("sag", supply="two", volts=float(rng.uniform(4.3, 5.0))),
        Fault("dead", "a", int(rng.integers(0, 80))),
    ]
    agrees(make, both, faults, seed)


def test_a_supply_that_is_off(make: SimpleNamespace, both: Callable) -> None:
    """The runs of one supply go on; what only the other fed is dark, and nothing flows there."""
    house = ring(make)
    codes = np.full((1, 110, 4), 255, dtype=np.uint8)
    solution = solve(circuit_with(build(house), [Fault("off", supply="two")]), codes)
    pixels = [f"Bpixel_b_{k}" for k in range(20, 30)]
    theirs = both(house, codes[0], ["Vsupply_1", *pixels])
    live = slice(0, 100)
    volts = theirs.plus_v - theirs.minus_v
    assert np.abs(solution.volts[0, live] - volts[live]).max() < MICROVOLT
    assert (solution.volts[0, 100:] == 0).all()
    assert (solution.amps[0, 100:] == 0).all()
    assert solution.supply_a[0, 1] == 0


def test_a_short_in_a_piece_whose_fuse_has_opened(make: SimpleNamespace, both: Callable) -> None:
    """Its + hangs on the short alone, while its − carries what the other piece gives back."""
    wires = [("psu", "a.start", "18 AWG", 2.0, 5.0), ("psu", "a.end", "18 AWG", 2.0, 5.0)]
    kind = make.kind(rail_ohm_per_m=0.1)
    house = make.house({"a": (kind, 60)}, [make.supply(ohm=0.01)], wires, cuts={"a": (30,)})
    codes = np.full((1, 60, 4), 255, dtype=np.uint8)
    faults = [Fault("blown", wire=1), Fault("short", "a", 45, ohm=0.2)]
    solution = solve(circuit_with(build(house), faults), codes)
    assert kirchhoff_residual_a(solution).max() < 1e-9
    pixels = [f"Bpixel_a_{k}" for k in range(30, 60)]
    short = ["Rshort p_a_46 n_a_46 0.2"]
    theirs = both(house, codes[0], ["Rwire_p_1", *pixels], short)
    assert np.abs(solution.minus_v[0] - theirs.minus_v).max() < MICROVOLT
    assert np.abs(solution.wire_minus_a[0] - theirs.minus_a).max() < MICROAMPERE
    assert np.abs(solution.wire_a[0] - theirs.plus_a).max() < MICROAMPERE
    live = slice(0, 30)
    volts = theirs.plus_v - theirs.minus_v
    assert np.abs(solution.volts[0, live] - volts[live]).max() < MICROVOLT
    assert abs(theirs.minus_a[1]) > 0.1  # the − of the dark piece is not idle
    assert (solution.amps[0, 30:] == 0).all()


@pytest.mark.parametrize("position", [9, 30])
def test_minus_is_cut_between_two_supplies_whose_plus_are_joined(
    make: SimpleNamespace, both: Callable, position: int
) -> None:
    """Nothing flows over the + between them; it holds the − of one against that of the other."""
    wires = [("psu", "a.start", "18 AWG", 2.0), ("two", "a.end", "16 AWG", 3.0)]
    kind = make.kind(rail_ohm_per_m=0.1)
    supplies = [make.supply(ohm=0.01), make.supply("two", 5.2, 0.02)]
    house = make.house({"a": (kind, 60)}, supplies, wires)
    codes = np.random.default_rng(position).integers(0, 256, (1, 60, 4)).astype(np.uint8)
    fault = Fault("open", "a", position, "minus")
    solution = solve(circuit_with(build(house), [fault]), codes)
    theirs = both(house, codes[0], *netlist_of(house, fault))
    assert np.abs(solution.volts[0] - theirs.plus_v + theirs.minus_v).max() < MICROVOLT
    assert np.abs(theirs.minus_v[position:]).max() > 0.02
    assert np.abs(solution.minus_v[0] - theirs.minus_v).max() < MICROVOLT
