"""The solver itself: every regime, batches, refusals."""

from collections.abc import Callable
from types import SimpleNamespace

import numpy as np
import pytest

from layouts.errors import EvenfallError
from layouts.records import House
from sim.circuit import (
    Solution,
    build,
    kirchhoff_residual_a,
    network,
    power,
    solve,
    solve_constant,
    topology,
    values,
    with_values,
)


def balanced(solution: Solution) -> Solution:
    """The solution, after its two balances were looked at."""
    assert kirchhoff_residual_a(solution).max() < 1e-9
    balance = power(solution)
    assert np.abs(balance.imbalance_w).max() < 1e-7
    assert (balance.copper_w > -1e-9).all()
    return solution


def strip(make: SimpleNamespace, count: int, **supply: float) -> House:
    """A strip fed at one end."""
    wires = [("psu", "a.start", "14 AWG", 2.0)]
    return make.house({"a": (make.kind(), count)}, [make.supply(**supply)], wires)


def test_every_regime_of_the_pixel_law_is_met_and_balances(make, white):
    """From full regulation down to pixels whose logic has no voltage left."""
    house = strip(make, 900)
    codes = np.concatenate([white(house, code) for code in (0, 8, 64, 255)])
    solution = balanced(solve(build(house), codes))
    dim = solution.dim
    volts = solution.volts
    assert ((dim[..., :3] == 1).all(axis=-1) & (volts > 3.8)).any()  # full regulation
    assert ((dim[..., 1] > 0) & (dim[..., 1] < 1)).any()  # green in its headroom
    assert ((dim[..., 2] == 0) & (dim[..., 0] == 1)).any()  # blue dark, red full
    assert ((dim[..., 0] > 0) & (dim[..., 0] < 1)).any()  # red in its headroom
    assert (volts < 2.0).any()  # no channel left, only the idle current


def test_the_end_of_a_starved_run_turns_amber(make, white):
    house = strip(make, 150)
    end = solve(build(house), white(house)).dim[0, -1]
    assert end[0] > end[1] > end[2] > 0


def test_amps_are_the_pixel_law_at_the_volts_found(make):
    """The law written out once more, pixel by pixel."""
    house = strip(make, 250)
    codes = np.random.default_rng(3).integers(0, 256, (1, 250, 4)).astype(np.uint8)
    solution = balanced(solve(build(house), codes))
    kind = house.runs[0].kind
    for k in (0, 100, 249):
        v = solution.volts[0, k]
        expected = kind.idle_ma / 1000 * min(max(v / kind.min_v, 0), 1)
        for c, channel in enumerate(kind.channels):
            part = min(max((v - channel.vf_v) / kind.headroom_v, 0), 1)
            expected += codes[0, k, c] / 255 * channel.current_ma / 1000 * part
        assert solution.amps[0, k] == pytest.approx(expected, abs=1e-12)


def test_a_series_pixel_draws_by_its_longest_channel(make):
    kind = make.series_kind()
    house = make.house({"a": (kind, 3)}, [make.supply(volts=12)], [("psu", "a.start", "14 AWG", 1)])
    codes = np.array([[[255, 0, 0, 0], [255, 255, 255, 0], [51, 102, 0, 0]]], dtype=np.uint8)
    amps = balanced(solve(build(house), codes)).amps[0]
    # WS2815: one colour full draws what white draws, 2.1 + 15 mA (public log, 0.18 W limit)
    assert amps == pytest.approx([0.0171, 0.0171, 0.0021 + 0.015 * 0.4], abs=1e-12)


@pytest.mark.parametrize("frames", [1, 2, 15, 16, 17, 100])
def test_a_frame_does_not_depend_on_its_company(make, frames):
    house = strip(make, 200)
    network = build(house)
    codes = np.random.default_rng(1).integers(0, 256, (frames, 200, 4)).astype(np.uint8)
    together = balanced(solve(network, codes))
    alone = [solve(network, codes[t : t + 1]).volts[0] for t in range(frames)]
    assert together.volts == pytest.approx(np.array(alone), abs=1e-9)


def test_one_frame_has_no_frame_axis(make, white):
    house = strip(make, 10)
    solution = solve(build(house), white(house)).at(0)
    assert solution.volts.shape == (10,)
    assert solution.dim.shape == (10, 4)
    assert solution.supply_a.shape == (1,)
    assert solution.wire_a.shape == (1,)


def test_without_supplies_every_pixel_has_its_nominal_voltage(make, white):
    house = make.house({"a": (make.kind(), 5), "b": (make.series_kind(), 5)}, [], [])
    solution = solve(build(house), white(house))
    assert solution.volts[0] == pytest.approx([5] * 5 + [12] * 5)
    assert solution.amps[0] == pytest.approx([0.037] * 5 + [0.0171] * 5)
    assert solution.supply_a.shape == (1, 0)
    assert (solution.dim == 1).all()


def test_a_supply_without_wires_gives_nothing(make, white):
    wires = [("psu", "a.start", "14 AWG", 1.0)]
    house = make.house({"a": (make.kind(), 5)}, [make.supply(), make.supply("spare")], wires)
    solution = balanced(solve(build(house), white(house)))
    assert solution.supply_a[0, 1] == 0


def test_separate_supplies_do_not_touch_each_other(make, white):
    runs = {"a": (make.kind(), 100), "b": (make.kind(), 100)}
    supplies = [make.supply("east"), make.supply("west")]
    wires = [("east", "a.start", "18 AWG", 1.0), ("west", "b.start", "18 AWG", 1.0)]
    house = make.house(runs, supplies, wires)
    codes = white(house)
    codes[:, 100:] = 0
    solution = balanced(solve(build(house), codes))
    alone = solve(build(make.house({"a": runs["a"]}, supplies[:1], wires[:1])), codes[:, :100])
    assert solution.volts[0, :100] == pytest.approx(alone.volts[0], abs=1e-12)


def test_a_supply_of_lower_voltage_is_pushed(make, white):
    supplies = [make.supply("high", 5.2, 0.01), make.supply("low", 4.8, 0.01)]
    wires = [("high", "a.start", "14 AWG", 1.0), ("low", "a.end", "14 AWG", 1.0)]
    house = make.house({"a": (make.kind(), 10)}, supplies, wires)
    solution = balanced(solve(build(house), white(house, 0)))
    assert solution.supply_a[0, 0] > 0 > solution.supply_a[0, 1]


def test_supplies_of_different_voltage_shorted_by_a_wire(make, white):
    supplies = [make.supply("high", 12.0), make.supply("low", 5.0)]
    wires = [("low", "a.start", "14 AWG", 1.0), ("high", "low", "14 AWG", 1.0)]
    house = make.house({"a": (make.kind(), 5)}, supplies, wires)
    solution = balanced(solve(build(house), white(house)))
    # 7 V over 2 m of 14 AWG, 8.2855 mΩ/m
    assert solution.wire_a[0, 1] == pytest.approx(7 / 0.016571, rel=1e-4)
    assert solution.supply_a[0, 1] < -400


def test_a_wire_to_itself_is_refused(make):
    wires = [("psu", "a.start", "14 AWG", 1.0), ("a[2]", "a[2]", "14 AWG", 1.0)]
    with pytest.raises(EvenfallError, match=r"both ends of wire a\[2\] → a\[2\] are one place"):
        build(make.house({"a": (make.kind(), 5)}, [make.supply()], wires))


def test_a_run_without_a_supply_has_no_volts_and_takes_no_amps(make, white):
    runs = {"a": (make.kind(), 5), "b": (make.kind(), 5)}
    wires = [("psu", "a.start", "14 AWG", 1.0), ("b.end", "b.start", "14 AWG", 1.0, 5.0)]
    house = make.house(runs, [make.supply()], wires)
    solution = balanced(solve(build(house), white(house)))
    assert (solution.volts[0, 5:] == 0).all()
    assert (solution.amps[0, 5:] == 0).all()
    assert solution.wire_a[0, 1] == solution.wire_minus_a[0, 1] == 0
    assert (solution.dim[0, 5:] == 0).all()
    alone = make.house({"a": (make.kind(), 5)}, [make.supply()], wires[:1])
    assert solution.volts[0, :5] == pytest.approx(solve(build(alone), white(alone)).volts[0])
    constant = solve_constant(build(house), np.full(10, 0.01))
    assert constant.supply_a[0] == pytest.approx([0.05])


def test_a_piece_between_two_cuts_without_a_feed_is_dark_and_its_minus_carries_on(make, white):
    """Fed from both ends by one supply: + is interrupted twice, − goes through."""
    wires = [("psu", "a.start", "18 AWG", 1.0, 5.0), ("psu", "a.end", "18 AWG", 2.0, 3.0)]
    house = make.house({"a": (make.kind(), 60)}, [make.supply()], wires, cuts={"a": (20, 30)})
    network = build(house)
    codes = white(house)
    codes[:, 30:] = 0
    solution = balanced(solve(network, codes))
    assert (solution.volts[0, 20:30] == 0).all()
    assert (solution.amps[0, 20:30] == 0).all()
    assert (solution.volts[0, :20] > 3).all()
    assert not network.reach.live[20:30].any()
    # the lit side sends some of its return through the dark piece to the other end
    lit_a, other_a = solution.wire_a[0]
    back_a, through_a = solution.wire_minus_a[0]
    assert through_a > other_a + 0.01
    assert back_a + through_a == pytest.approx(lit_a + other_a)


@pytest.mark.parametrize("which", ["plus_s", "minus_s", "both"])
def test_a_feed_whose_conductor_breaks_leaves_what_hangs_on_it_dark(make, white, which):
    wires = [("psu", "a.start", "18 AWG", 1.0), ("a[9]", "b.start", "18 AWG", 1.0)]
    house = make.house({r: (make.kind(), 30) for r in "ab"}, [make.supply(ohm=0.01)], wires)
    network = build(house)
    broken = network.values.plus_s.copy()
    broken[network.wire_edge[1]] = 0.0
    names = ("plus_s", "minus_s") if which == "both" else (which,)
    changed = with_values(network, **dict.fromkeys(names, broken))
    solution = balanced(solve(changed, white(house)))
    assert (solution.volts[0, 30:] == 0).all()
    assert solution.supply_a[0, 0] == pytest.approx(solution.amps[0, :30].sum())
    dead = balanced(solve(with_values(network, plus_s=0 * broken), white(house)))
    assert (dead.volts == 0).all()
    assert (dead.supply_a == 0).all()


def test_other_values_are_as_if_built_with_them(make, white):
    """One topology for houses that differ in numbers alone."""
    wires = [("psu", "a.start", "18 AWG", 1.0, 5.0), ("psu", "a.end", "18 AWG", 2.0, 3.0)]
    runs = {"a": (make.kind(), 60)}
    house = make.house(runs, [make.supply(ohm=0.01)], wires)
    changed = make.house(
        runs, [make.supply(volts=5.2, ohm=0.02)], [(*wires[0][:3], 4.0, 7.5), wires[1]],
        temperature_c=50.0, cuts={"a": (31,)},
    )  # fmt: skip
    wiring = topology(house)
    build_once = network(wiring, values(wiring, house), house)
    new = values(wiring, changed)
    again = with_values(build_once, plus_s=new.plus_s, minus_s=new.minus_s, source_v=new.source_v)
    expected = balanced(solve(build(changed), white(house)))
    found = balanced(solve(again, white(house)))
    assert found.volts == pytest.approx(expected.volts, abs=1e-12)
    assert found.wire_minus_a == pytest.approx(expected.wire_minus_a, abs=1e-11)
    doubled = solve(with_values(build_once, edge_s=2 * build_once.edge_s), white(house))
    assert doubled.volts.min() > solve(build_once, white(house)).volts.min()


@pytest.mark.parametrize("position", [0, 60, -1])
def test_a_cut_where_no_rail_is_is_refused(make, position):
    wires = [("psu", "a.start", "18 AWG", 1.0)]
    with pytest.raises(EvenfallError, match="write 1 to 59"):
        make.house({"a": (make.kind(), 60)}, [make.supply()], wires, cuts={"a": (position,)})


def test_rails_without_resistance_are_refused(make):
    kind = make.kind(rail_ohm_per_m=0.0)
    with pytest.raises(EvenfallError, match="rails of run a comes to 0 Ω; it must be above 0"):
        build(make.house({"a": (kind, 5)}, [make.supply()], [("psu", "a.start", "14 AWG", 1.0)]))


def test_a_solve_that_does_not_converge_names_the_run(
    make: SimpleNamespace,
    white: Callable[..., np.ndarray],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """No network is known that does not; so the core is made to give up."""
    house = strip(make, 20)
    network = build(house)
    monkeypatch.setattr("sim.circuit.kernel.solve_frames", lambda *_: (3, 0))
    many = np.repeat(white(house), 200, axis=0)  # more than is solved without the core
    with pytest.raises(EvenfallError, match=r"of run a does not converge in frame 3"):
        solve(network, many)


def test_a_number_that_is_none_is_refused(make, white):
    """Files cannot hold one; a record made by a program can."""
    house = strip(make, 20, volts=float("nan"))
    with pytest.raises(EvenfallError, match="of run a has no solution"):
        solve(build(house), white(house))


def test_errors_do_not_grow_from_frame_to_frame(make):
    """Each frame starts from the one before; after hundreds the balance is still exact."""
    house = strip(make, 150)
    codes = np.random.default_rng(5).integers(100, 256, (6000, 150, 4)).astype(np.uint8)
    network = build(house)
    solution = balanced(solve(network, codes))
    last = solve(network, codes[-1:])
    assert solution.volts[-1] == pytest.approx(last.volts[0], abs=1e-10)


@pytest.mark.parametrize("seed", range(8))
def test_harsh_circuits_converge(make, seed):
    """Steep laws, long thin strips, random light: where Newton without care runs in circles."""
    rng = np.random.default_rng(seed)
    kind = make.kind(
        headroom_v=float(rng.choice([0.01, 0.1, 1.5])), rail_ohm_per_m=float(rng.uniform(0.05, 3))
    )
    wires = [
        ("psu", "a.start", "18 AWG", 5.0),
        ("psu", "a.end", "18 AWG", float(rng.uniform(1, 50))),
    ]
    house = make.house({"a": (kind, 400)}, [make.supply(ohm=0.1)], wires[: 1 + seed % 2])
    codes = rng.integers(0, 256, (64, 400, 4)).astype(np.uint8)
    codes[::3] = rng.choice([0, 255], (len(codes[::3]), 400, 4))
    balanced(solve(build(house), codes))
