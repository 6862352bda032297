"""Many draws side by side are the same as each draw as a network of its own."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from layouts.errors import EvenfallError
from layouts.records import House
from sim.circuit import build, loads, solve, utilisation
from sim.circuit.drawn import DrawnCircuit, as_built, drawn_loads, feed_v, one_of, solve_drawn
from sim.circuit.loads import loads_of

DRAWS = 19  # more than the lanes, and no multiple of them


def house_of(make: SimpleNamespace, which: str) -> House:
    kind = make.kind(rail_ohm_per_m=4.0)
    soft = [make.supply(ohm=0.02)]
    match which:
        case "ring with fuses":  # + and − differ: u is an unknown
            wires = [
                ("psu", "j", "14 AWG", 2.0, 15.0),
                ("j", "a.start", "18 AWG", 1.0, 5.0),
                ("j", "a.end", "18 AWG", 1.0, 3.0),
                ("j", "b.start", "18 AWG", 0.5),
            ]
            return make.house({"a": (kind, 40), "b": (kind, 30)}, soft, wires)
        case "cut":
            wires = [("psu", "a.start", "18 AWG", 1.0, 5.0), ("psu", "a.end", "18 AWG", 2.0, 5.0)]
            return make.house({"a": (kind, 50)}, soft, wires, cuts={"a": (20,)})
        case "two supplies, nothing feeds c":
            supplies = [make.supply("east"), make.supply("west", 5.1, 0.01)]
            wires = [("east", "a.start", "18 AWG", 2.0), ("west", "b.end", "16 AWG", 3.0)]
            return make.house({r: (kind, 30) for r in "abc"}, supplies, wires)
        case "dies in series":
            series = make.series_kind(rail_ohm_per_m=8.0)
            wires = [("psu", "a.start", "18 AWG", 2.0)]
            return make.house({"a": (series, 50)}, [make.supply(volts=12.0)], wires)
        case "no wires yet":
            return make.house({"a": (kind, 20)}, soft, [])
    raise KeyError(which)


def drawn_of(house: House, count: int = DRAWS) -> DrawnCircuit:
    network, g = build(house), np.random.default_rng(3)
    base = as_built(network, count)
    strip = g.uniform(0.7, 1.1, base.plus_s.shape)
    return DrawnCircuit(
        base.plus_s * strip,
        base.minus_s * np.where(strip > 0.9, strip, 0.9),
        base.source_v * g.uniform(0.97, 1.03, base.source_v.shape),
        g.normal(1, 0.1, base.times.shape),
        g.uniform(-0.3, 0.3, base.vf_add.shape),
    )


@pytest.mark.parametrize(
    "which",
    ["ring with fuses", "cut", "two supplies, nothing feeds c", "dies in series", "no wires yet"],
)
def test_each_draw_is_a_network_of_its_own(make: SimpleNamespace, which: str) -> None:
    house = house_of(make, which)
    network, drawn = build(house), drawn_of(house)
    g = np.random.default_rng(5)
    codes = g.integers(0, 256, (3, len(house.pixels), 4)).astype(np.uint8)
    codes[0] = 255
    shown = g.integers(0, 3, (DRAWS, 2))
    found = solve_drawn(network, drawn, codes, shown)
    asked = drawn_loads(found)
    starved = 0
    for d in range(DRAWS):
        # the solver of single networks, which ngspice vouches for in tests/circuit/ngspice
        alone = solve(one_of(network, drawn, d), codes[shown[d]])
        own = loads_of(alone, codes[shown[d]])
        assert np.abs(alone.volts - found.volts[d]).max() < 1e-8
        rows = slice(2 * d, 2 * d + 2)
        for name in ("supply_a", "wire_a", "wire_minus_a", "run_a", "run_v", "run_dim"):
            off = np.abs(getattr(own, name) - getattr(asked, name)[rows])
            assert off.max(initial=0) < 1e-7, name
        assert own.dc_w == pytest.approx(asked.dc_w[rows], abs=1e-7)
        starved += bool(own.run_dim.min() < 1)
    assert (starved > 3) == bool(house.wires)  # what nothing reaches is dark, not starved


def test_parts_as_built_give_what_the_house_gives(make: SimpleNamespace) -> None:
    house = house_of(make, "ring with fuses")
    network = build(house)
    codes = np.full((2, len(house.pixels), 4), 255, dtype=np.uint8)
    codes[1] = 90
    found = drawn_loads(solve_drawn(network, as_built(network, 2), codes))
    plain = loads(network, codes)
    for name in ("supply_a", "wire_a", "run_v", "run_dim", "dc_w", "copper_w"):
        both = np.concatenate([getattr(plain, name)] * 2)
        assert getattr(found, name) == pytest.approx(both, abs=1e-8), name
    fed = np.repeat(feed_v(network, as_built(network, 2)), 2, axis=0)
    used = utilisation(network, found, fed)
    assert used == pytest.approx(np.concatenate([utilisation(network, plain)] * 2), abs=1e-7)


def test_step_down_regulators_go_one_by_one(make: SimpleNamespace) -> None:
    from layouts.catalogue import kinds

    kind = next(each for each in kinds().values() if each.regulator and each.regulator.efficiency)
    wires = [("psu", "a.start", "16 AWG", 5.0)]
    house = make.house({"a": (kind, 12)}, [make.supply(volts=kind.supply_v)], wires)
    network, drawn = build(house), drawn_of(house, 3)
    codes = np.full((1, 12, 4), 200, dtype=np.uint8)
    found = solve_drawn(network, drawn, codes)
    for d in range(3):
        alone = solve(one_of(network, drawn, d), codes)
        assert np.abs(alone.volts - found.volts[d]).max() < 1e-9
    assert np.ptp(found.volts) > 0.05


@pytest.mark.parametrize("which", ["ring with fuses", "dies in series"])
def test_what_has_no_solution_is_told_as_of_a_single_house(
    make: SimpleNamespace, which: str
) -> None:
    """A draw whose numbers are none: a solve tells it, and so do many side by side."""
    house = house_of(make, which)
    network, base = build(house), as_built(build(house), 3)
    full = np.full((2, len(house.pixels), 4), 255, dtype=np.uint8)
    strip = base.plus_s.copy()
    strip[1, 2] = np.nan
    drawn = replace(base, plus_s=strip, minus_s=strip)
    with pytest.raises(EvenfallError, match=r"the voltage at .* has no solution"):
        solve(one_of(network, drawn, 1), full)
    with pytest.raises(
        EvenfallError, match=r"the voltage at .* has no solution in draw 1, frame 0"
    ):
        solve_drawn(network, drawn, full)
