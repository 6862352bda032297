"""What must hold for any house: more resistance, more light, another order of wires."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.records import House
from sim.circuit import Solution, build, kirchhoff_residual_a, power, solve

few = settings(max_examples=40, deadline=None)

#: A tree of three runs with up to three more wires, as (from, to, size, metres).
extra_wires = st.lists(
    st.tuples(
        st.sampled_from(["psu", "j", "a[3]", "b.end"]),
        st.sampled_from(["a.end", "b[5]", "c.start", "c.end"]),
        st.sampled_from(["18 AWG", "14 AWG"]),
        st.floats(0.1, 20),
    ),
    max_size=3,
)


@st.composite
def houses(draw: st.DrawFn, make: SimpleNamespace) -> House:
    """Runs hung on a junction and on each other, sagging more or less."""
    kind = make.kind(
        rail_ohm_per_m=draw(st.floats(0.02, 2)), headroom_v=draw(st.sampled_from([0.1, 0.5, 1.5]))
    )
    runs = {name: (kind, draw(st.integers(6, 60))) for name in "abc"}
    wires = [
        ("psu", "j", "14 AWG", draw(st.floats(0.1, 10))),
        ("j", "a.start", "18 AWG", draw(st.floats(0.1, 10))),
        ("j", "b[2]", "18 AWG", draw(st.floats(0.1, 10))),
        ("b[4]", "c[0]", "18 AWG", draw(st.floats(0.1, 10))),
        *draw(extra_wires),
    ]
    supply = make.supply(ohm=draw(st.sampled_from([0.0, 0.02])))
    return make.house(runs, [supply], wires, temperature_c=draw(st.floats(-30, 60)))


def solved(house: House, code: int, seed: int | None = None) -> Solution:
    """Every channel at `code`, or at random up to it; balances looked at."""
    codes = np.full((1, len(house.pixels), 4), code, dtype=np.uint8)
    if seed is not None:
        codes = np.random.default_rng(seed).integers(0, code + 1, codes.shape).astype(np.uint8)
    solution = solve(build(house), codes)
    assert kirchhoff_residual_a(solution).max() < 1e-9
    assert np.abs(power(solution).imbalance_w).max() < 1e-7
    return solution


def longer(house: House, times: float) -> House:
    """The same house with every wire that much longer."""
    wires = tuple(replace(wire, length_m=wire.length_m * times) for wire in house.wires)
    return replace(house, wires=wires)


def test_more_resistance_never_raises_the_least_voltage(make: SimpleNamespace) -> None:
    @few
    @given(houses(make), st.floats(1.01, 5), st.integers(0, 255))
    def holds(house: House, times: float, code: int) -> None:
        before = solved(house, code).volts.min()
        assert solved(longer(house, times), code).volts.min() <= before + 1e-9

    holds()


def test_more_light_never_lowers_the_supply_current(make: SimpleNamespace) -> None:
    @few
    @given(houses(make), st.integers(0, 254), st.integers(1, 255))
    def holds(house: House, code: int, more: int) -> None:
        before = solved(house, code).supply_a.sum()
        assert solved(house, min(255, code + more)).supply_a.sum() >= before - 1e-9

    holds()


def test_the_order_of_wires_does_not_matter(make: SimpleNamespace) -> None:
    @few
    @given(houses(make), st.randoms(), st.integers(0, 2**31))
    def holds(house: House, random, seed: int) -> None:
        order = list(range(len(house.wires)))
        random.shuffle(order)
        shuffled = replace(house, wires=tuple(house.wires[k] for k in order))
        one, other = solved(house, 255, seed), solved(shuffled, 255, seed)
        assert np.abs(one.volts - other.volts).max() < 1e-9
        assert np.abs(one.wire_a[:, order] - other.wire_a).max() < 1e-7

    holds()


def test_a_wire_turned_round_carries_the_same_the_other_way(make: SimpleNamespace) -> None:
    @few
    @given(houses(make), st.integers(0, 2**31))
    def holds(house: House, seed: int) -> None:
        turned = replace(
            house,
            wires=tuple(replace(wire, start=wire.end, end=wire.start) for wire in house.wires),
        )
        one, other = solved(house, 255, seed), solved(turned, 255, seed)
        assert np.abs(one.wire_a + other.wire_a).max() < 1e-7

    holds()


def test_volts_lie_between_nothing_and_the_supply(make: SimpleNamespace) -> None:
    @few
    @given(houses(make), st.integers(0, 2**31))
    def holds(house: House, seed: int) -> None:
        volts = solved(house, 255, seed).volts
        assert volts.min() > 0
        assert volts.max() <= 5 + 1e-12

    holds()
