"""Where + and − differ: fuses in rings, cuts, conductors interrupted, supplies joined by −.

Volts and amperes of both conductors, against ngspice on the netlist with both rails.
"""

from collections.abc import Callable
from types import SimpleNamespace

import numpy as np
import pytest

from layouts.records import House
from sim.circuit import Solution, build, kirchhoff_residual_a, power, solve

pytestmark = pytest.mark.outside

MICROVOLT, MICROAMPERE = 1e-6, 1e-6


def balanced(solution: Solution) -> Solution:
    """The solution, after its balances were looked at."""
    assert kirchhoff_residual_a(solution).max() < 1e-9
    assert np.abs(power(solution).imbalance_w).max() < 1e-7
    return solution


def agrees(solution: Solution, theirs) -> None:
    """Volts of both conductors within a microvolt, amperes within a microampere."""
    volts = theirs.plus_v - theirs.minus_v
    assert np.abs(solution.volts[0] - volts).max() < MICROVOLT
    assert np.abs(solution.minus_v[0] - theirs.minus_v).max() < MICROVOLT
    assert np.abs(solution.wire_a[0] - theirs.plus_a).max() < MICROAMPERE
    assert np.abs(solution.wire_minus_a[0] - theirs.minus_a).max() < MICROAMPERE


def random_codes(pixels: int, seed: int) -> np.ndarray:
    """(1, N, 4) codes; some seeds show all full."""
    rng = np.random.default_rng(seed)
    codes = rng.integers(0, 256, (1, pixels, 4)).astype(np.uint8)
    return np.full_like(codes, 255) if seed % 3 == 0 else codes


def fused_rings(make: SimpleNamespace, seed: int) -> House:
    """Runs fed several times through unlike fuses, joined at corners, some with cuts."""
    rng = np.random.default_rng(seed)
    series = bool(seed % 4 == 3)
    kind = make.series_kind(rail_ohm_per_m=0.3) if series else make.kind(rail_ohm_per_m=0.2)
    runs = {name: (kind, int(rng.integers(20, 70))) for name in "abc"}
    volts = kind.supply_v
    supplies = [
        make.supply("east", volts, float(rng.choice([0.0, 0.02]))),
        make.supply("west", volts * float(rng.choice([1.0, 1.03])), float(rng.choice([0.0, 0.01]))),
    ]

    def wire(start: str, end: str) -> tuple:
        fuse = rng.choice([0, 2.0, 3.0, 5.0, 10.0])
        size = str(rng.choice(["18 AWG", "16 AWG", "14 AWG"]))
        made = (start, end, size, float(rng.uniform(0.2, 5)))
        return (*made, float(fuse)) if fuse else made

    wires = [wire("east", "j"), wire("j", "a.start"), wire("j", "a.end")]
    wires += [wire("j", f"b[{runs['b'][1] // 2}]"), wire("a.end", "b.start")]
    wires += [wire("west", "c.start"), wire("west", "c[15]"), wire("west", "c.end")]
    cuts: dict[str, tuple[int, ...]] = {}
    if seed % 2:
        # + of a parted in two, − not; and both supplies on b, whose − then joins them
        wires += [wire("west", "b.end")]
        cuts = {"a": (runs["a"][1] // 3,), "b": (runs["b"][1] // 2 + 4,)}
    return make.house(runs, supplies, wires, cuts=cuts)


@pytest.mark.parametrize("seed", range(16))
def test_random_fused_rings(make: SimpleNamespace, both: Callable, seed: int) -> None:
    house = fused_rings(make, seed)
    codes = random_codes(len(house.pixels), seed)
    network = build(house)
    assert network.form.dual.any()
    agrees(balanced(solve(network, codes)), both(house, codes[0]))


@pytest.mark.parametrize("lit", ["all", "one side"])
@pytest.mark.parametrize("supplies", [1, 2])
def test_a_cut_run_of_which_one_side_is_dark(
    make: SimpleNamespace, both: Callable, supplies: int, lit: str
) -> None:
    """− goes through: the side that is lit lifts the − of the other."""
    made = [make.supply("one", ohm=0.01), make.supply("two", ohm=0.01)][:supplies]
    wires = [
        (made[0].name, "a.start", "18 AWG", 2.0, 5.0),
        (made[-1].name, "a.end", "18 AWG", 2.0, 5.0),
        (made[0].name, "b.start", "18 AWG", 2.0, 5.0),
        (made[-1].name, "b.end", "18 AWG", 1.0, 5.0),
    ]
    runs = {name: (make.kind(rail_ohm_per_m=0.1), 150) for name in "ab"}
    house = make.house(runs, made, wires, cuts={"a": (75,), "b": (60, 61, 90)})
    # pixel 60 of b, and 61 to 89, have no feed of their own
    wires += [(made[0].name, "b[60]", "18 AWG", 2.0), (made[-1].name, "b[70]", "16 AWG", 2.0)]
    house = make.house(runs, made, wires, cuts={"a": (75,), "b": (60, 61, 90)})
    codes = np.full((1, 300, 4), 255, dtype=np.uint8)
    if lit == "one side":
        codes[:, 75:150] = 0
    solution = balanced(solve(build(house), codes))
    agrees(solution, both(house, codes[0]))
    if lit == "one side":
        assert solution.minus_v[0, 149] > 0.02


@pytest.mark.parametrize("seed", range(6))
def test_interrupted_conductors(make: SimpleNamespace, both: Callable, seed: int) -> None:
    """An open + or −, in a rail or a wire, of networks in which all is still fed."""
    from sim.circuit import with_values

    kind = make.kind(rail_ohm_per_m=0.1)
    wires = [
        ("psu", "a.start", "18 AWG", 2.0, 5.0),
        ("psu", "a.end", "18 AWG", 3.0, 3.0),
        ("psu", "a[40]", "16 AWG", 2.0),
        ("a.end", "b.start", "18 AWG", 0.5),
    ]
    house = make.house({"a": (kind, 80), "b": (kind, 30)}, [make.supply(ohm=0.01)], wires)
    network = build(house)
    plus, minus = network.values.plus_s.copy(), network.values.minus_s.copy()
    rng = np.random.default_rng(seed)
    gone = []
    at = int(rng.integers(1, 39))
    pole, of = (("p", plus), ("n", minus))[seed % 2]
    of[at - 1] = 0
    gone.append(f"Rrail_{pole}_a_{at}")
    if seed >= 2:
        pole, of = (("n", minus), ("p", plus))[seed % 2]
        of[network.wire_edge[seed % 3]] = 0
        gone.append(f"Rwire_{pole}_{seed % 3}")
    changed = with_values(network, plus_s=plus, minus_s=minus)
    codes = random_codes(110, seed)
    assert changed.reach.whole
    agrees(balanced(solve(changed, codes)), both(house, codes[0], gone))


@pytest.mark.parametrize("seed", range(3))
def test_folded_networks_tell_both_conductors_too(
    make: SimpleNamespace, both: Callable, seed: int
) -> None:
    """Fuses in branches, a ring of like conductors, supplies of which one pushes the other."""
    kind = make.kind(rail_ohm_per_m=0.1)
    supplies = [make.supply("one", 5.0, 0.01), make.supply("two", 4.9, 0.02)]
    wires = [
        ("one", "j", "14 AWG", 2.0, 15.0),
        ("j", "a.start", "18 AWG", 1.0),
        ("j", "a.end", "18 AWG", 4.0),
        ("a[20]", "b.start", "16 AWG", 1.0, 5.0),
        ("two", "b[10]", "18 AWG", 1.0, 3.0),
        ("b.end", "c[3]", "18 AWG", 1.0, 2.0),
    ]
    runs = {"a": (kind, 50), "b": (kind, 40), "c": (kind, 20)}
    house = make.house(runs, supplies, wires, temperature_c=[-20, 20, 50][seed])
    codes = random_codes(110, seed)
    network = build(house)
    assert not network.form.dual.any()
    agrees(balanced(solve(network, codes)), both(house, codes[0]))


def test_a_bridge_with_a_cut_joins_two_supplies_by_minus(
    make: SimpleNamespace, both: Callable
) -> None:
    """No ring goes over the cut, so nothing flows in the − there, and the fold stays exact."""
    kind = make.kind()
    supplies = [make.supply("one", 5.0), make.supply("two", 5.1, 0.01)]
    wires = [("one", "a.start", "18 AWG", 2.0, 5.0), ("two", "a.end", "18 AWG", 3.0, 5.0)]
    house = make.house({"a": (kind, 90)}, supplies, wires, cuts={"a": (40,)})
    network = build(house)
    assert not network.form.dual.any()
    codes = random_codes(90, 1)
    solution = balanced(solve(network, codes))
    agrees(solution, both(house, codes[0]))
    assert solution.minus_v[0, 40] == pytest.approx(solution.minus_v[0, 39], abs=1e-12)
    assert network.feed_v[[39, 40]] == pytest.approx([5.0, 5.1])
