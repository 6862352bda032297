"""Every topology a house can have, against ngspice: within a microvolt."""

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from layouts import change
from layouts.records import House
from sim.circuit import build, kirchhoff_residual_a, power, solve

pytestmark = pytest.mark.outside

MICROVOLT = 1e-6


def house_of(make: SimpleNamespace, topology: str, law: str) -> House:
    """One of the topologies, long enough to starve when all is lit."""
    kind, n = make.kind(rail_ohm_per_m=0.25), 75
    if law == "series":
        kind, n = make.series_kind(rail_ohm_per_m=0.6), 120
    v = kind.supply_v
    one = [make.supply(volts=v)]
    soft = [make.supply(volts=v, ohm=0.02)]
    match topology:
        case "one end":
            return make.house({"a": (kind, 2 * n)}, one, [("psu", "a.start", "18 AWG", 2.0)])
        case "both ends":
            wires = [("psu", "a.start", "16 AWG", 1.0), ("psu", "a.end", "18 AWG", 4.0)]
            return make.house({"a": (kind, 3 * n)}, one, wires)
        case "several feeds":
            wires = [
                ("psu", "a.start", "18 AWG", 3.0),
                ("psu", f"a[{n}]", "16 AWG", 3.0),
                ("psu", f"a[{3 * n}]", "18 AWG", 6.0),
            ]
            return make.house({"a": (kind, 4 * n)}, soft, wires)
        case "junction tree":
            wires = [
                ("psu", "j", "14 AWG", 3.0),
                ("j", "a.start", "18 AWG", 1.0),
                ("j", "k", "16 AWG", 2.0),
                ("k", "a.end", "18 AWG", 1.0),
                ("k", "b[10]", "18 AWG", 1.5),
            ]
            return make.house({"a": (kind, 2 * n), "b": (kind, n)}, soft, wires)
        case "junction feeds three runs":
            wires = [("psu", "j", "14 AWG", 4.0)]
            wires += [("j", f"{r}.start", "18 AWG", 1.0 + i) for i, r in enumerate("abc")]
            return make.house({r: (kind, n) for r in "abc"}, one, wires)
        case "joined at corners":
            wires = [
                ("psu", "a.start", "16 AWG", 1.0),
                ("a.end", "b.start", "18 AWG", 0.3),
                ("b.end", "c.end", "18 AWG", 0.3),
            ]
            return make.house({r: (kind, n) for r in "abc"}, soft, wires)
        case "loop":
            wires = [
                ("psu", "a.start", "16 AWG", 1.0),
                ("a.end", "b.start", "18 AWG", 0.5),
                ("b.end", "a.start", "18 AWG", 2.0),
                ("a[20]", "b[30]", "18 AWG", 1.0),
            ]
            return make.house({"a": (kind, n), "b": (kind, n)}, soft, wires)
        case "two supplies":
            supplies = [make.supply("east", v, 0.01), make.supply("west", v * 1.02)]
            wires = [
                ("east", "a.start", "18 AWG", 2.0),
                ("west", "b.start", "16 AWG", 3.0),
                ("west", "b.end", "16 AWG", 3.0),
            ]
            return make.house({"a": (kind, n), "b": (kind, 3 * n)}, supplies, wires)
        case "supplies joined":
            supplies = [make.supply("east", v, 0.05), make.supply("west", v * 0.97, 0.03)]
            wires = [("east", "a.start", "18 AWG", 2.0), ("west", "a.end", "18 AWG", 2.0)]
            return make.house({"a": (kind, 3 * n)}, supplies, wires)
        case "cold":
            wires = [("psu", "a.start", "18 AWG", 5.0)]
            return make.house({"a": (kind, 2 * n)}, one, wires, temperature_c=-25)
        case "hot":
            wires = [("psu", "a[10]", "18 AWG", 5.0)]
            return make.house({"a": (kind, 2 * n)}, soft, wires, temperature_c=60)
        case "kinds mixed":
            other = make.kind("warm", min_v=3.5, headroom_v=0.8, rail_ohm_per_m=0.05)
            if law == "series":
                other = make.series_kind(headroom_v=0.8, idle_ma=1.0, rail_ohm_per_m=0.2)
            wires = [("psu", "a.start", "16 AWG", 1.0), ("a.end", "b.start", "18 AWG", 0.2)]
            return make.house({"a": (kind, n), "b": (other, n)}, soft, wires)
        case "one pixel":
            return make.house({"a": (kind, 1)}, soft, [("psu", "a.end", "18 AWG", 30.0)])
    raise KeyError(topology)


TOPOLOGIES = (
    "one end",
    "both ends",
    "several feeds",
    "junction tree",
    "junction feeds three runs",
    "joined at corners",
    "loop",
    "two supplies",
    "supplies joined",
    "cold",
    "hot",
    "kinds mixed",
    "one pixel",
)


def shown(level: str, pixels: int) -> np.ndarray:
    """(N, 4) codes: everything full, everything half, or each channel at random."""
    if level == "random":
        return np.random.default_rng(pixels).integers(0, 256, (pixels, 4)).astype(np.uint8)
    return np.full((pixels, 4), {"full": 255, "half": 128, "dark": 0}[level], dtype=np.uint8)


@pytest.mark.parametrize("level", ["full", "half", "random", "dark"])
@pytest.mark.parametrize("law", ["parallel", "series"])
@pytest.mark.parametrize("topology", TOPOLOGIES)
def test_volts_agree_with_ngspice(
    make: SimpleNamespace,
    spice: Callable[[House, np.ndarray], np.ndarray],
    topology: str,
    law: str,
    level: str,
) -> None:
    house = house_of(make, topology, law)
    codes = shown(level, len(house.pixels))
    solution = solve(build(house), codes[None])
    # ngspice on the netlist with both rails, reltol 1e-9
    assert np.abs(solution.volts[0] - spice(house, codes)).max() < MICROVOLT
    assert kirchhoff_residual_a(solution).max() < 1e-9
    assert np.abs(power(solution).imbalance_w).max() < 1e-7


@pytest.mark.parametrize("law", ["parallel", "series"])
def test_the_topologies_do_starve(make: SimpleNamespace, law: str) -> None:
    """Otherwise the comparison above would only meet full regulation."""
    starved = 0
    for topology in TOPOLOGIES:
        house = house_of(make, topology, law)
        solution = solve(build(house), shown("full", len(house.pixels))[None])
        starved += bool((solution.dim[..., :3] < 1).any())
    assert starved >= 8


def fused_house(make: SimpleNamespace, topology: str) -> House:
    """Fuses of several ratings, also one below those that makers are quoted for."""
    runs = {"a": (make.kind(), 60), "b": (make.kind(mount="string", rail_ohm_per_m=0.05), 40)}
    wires = [
        ("psu", "j", "14 AWG", 2.0, 15.0),
        ("j", "a.start", "18 AWG", 1.0, 5.0),
        ("j", "b.start", "18 AWG", 0.5, 3.0),
    ]
    if topology == "ring":
        wires.append(("j", "a.end", "18 AWG", 0.5, 2.0))
    return make.house(runs, [make.supply(ohm=0.01)], wires)


def test_fuses_count_in_volts_as_in_ngspice(
    make: SimpleNamespace, spice: Callable[[House, np.ndarray], np.ndarray]
) -> None:
    # ngspice with each fuse's resistance in + alone
    house = fused_house(make, "tree")
    codes = shown("full", 100)
    found = solve(build(house), codes[None]).volts[0]
    assert np.abs(found - spice(house, codes)).max() < MICROVOLT
    bare = replace(house, wires=tuple(replace(wire, fuse_a=None) for wire in house.wires))
    assert (solve(build(bare), codes[None]).volts[0] - found).min() > 0.02


def test_fuses_in_a_ring_count_in_plus_alone(
    make: SimpleNamespace, spice: Callable[[House, np.ndarray], np.ndarray]
) -> None:
    house = fused_house(make, "ring")
    codes = shown("half", 100)
    # ngspice with each fuse's resistance in + alone
    off = spice(house, codes) - solve(build(house), codes[None]).volts[0]
    assert np.abs(off).max() < MICROVOLT


def test_leads_of_a_string_mounted_closer_keep_their_length(
    make: SimpleNamespace, spice: Callable[[House, np.ndarray], np.ndarray]
) -> None:
    string = make.kind(mount="string", pitch_m=0.1, rail_ohm_per_m=0.03)
    wires = [("psu", "a.start", "16 AWG", 1.0)]
    house = make.house({"a": (string, 50)}, [make.supply()], wires)
    close = change(house, runs={"a": {"path": [[0, 3], [2, 3]], "count": 50}})
    codes = shown("full", 50)
    found = solve(build(close), codes[None]).volts[0]
    assert found == pytest.approx(solve(build(house), codes[None]).volts[0], abs=1e-12)
    assert np.abs(found - spice(close, codes)).max() < MICROVOLT
    strip = replace(string, mount="strip")
    strips = replace(close, runs=(replace(close.runs[0], kind=strip),))
    assert solve(build(strips), codes[None]).volts[0, -1] > found[-1] + 0.01


def test_random_trees_agree_with_ngspice(
    make: SimpleNamespace, spice: Callable[[House, np.ndarray], np.ndarray]
) -> None:
    """Networks nobody thought of: runs hung on each other at random, with random extra feeds."""
    for seed in range(6):
        rng = np.random.default_rng(seed)
        runs = {f"r{i}": (make.kind(), int(rng.integers(2, 60))) for i in range(5)}
        wires = [("psu", "r0.start", "16 AWG", 1.0)]
        for i in range(1, 5):
            other = f"r{rng.integers(0, i)}"
            at = int(rng.integers(0, runs[other][1]))
            wires.append((f"{other}[{at}]", f"r{i}.start", "18 AWG", float(rng.uniform(0.1, 3))))
        for _ in range(int(rng.integers(0, 3))):
            name = f"r{rng.integers(0, 5)}"
            wires.append(("psu", f"{name}.end", "18 AWG", float(rng.uniform(1, 9))))
        house = make.house(runs, [make.supply(ohm=0.01)], wires, float(rng.uniform(-25, 60)))
        codes = shown("random", len(house.pixels))
        solution = solve(build(house), codes[None])
        assert np.abs(solution.volts[0] - spice(house, codes)).max() < MICROVOLT
