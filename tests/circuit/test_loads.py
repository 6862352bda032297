"""What frames ask of the wiring, summed while they are solved, against the sums of every pixel."""

import sys
from dataclasses import fields, replace
from types import SimpleNamespace

import numpy as np
import pytest

from layouts import House, change
from layouts.catalogue import kinds
from sim.circuit import build, loads, solve
from sim.circuit.law import demand_a, draw_a
from sim.circuit.loads import Loads, _tallied, loads_of


def two_runs(make: SimpleNamespace, kind: object, wires: str = "tree", rail: float = 0.1) -> House:
    """Runs of 40 and 25 pixels that hang on two supplies, or on a ring with fuses."""
    each = replace(kind, rail_ohm_per_m=rail)
    supplies = [make.supply(name, volts=each.supply_v, ohm=0.01) for name in ("psu", "other")]
    found = {
        "tree": [("psu", "a.start", "14 AWG", 3.0, 5.0), ("other", "b[7]", "18 AWG", 4.0, 3.0)],
        "ring": [
            ("psu", "a.start", "14 AWG", 2.0, 5.0),
            ("psu", "a.end", "18 AWG", 7.0, 10.0),
            ("a[20]", "b.start", "18 AWG", 1.0),
        ],
        "half": [("psu", "a.start", "14 AWG", 3.0, 5.0)],
    }[wires]
    return make.house({"a": (each, 40), "b": (each, 25)}, supplies, found)


def light(house: House, frames: int, most: int, seed: int = 0) -> np.ndarray:
    """(T, N, C) at random up to `most`; the third frame is the second again, the last dark."""
    rng = np.random.default_rng(seed)
    shape = (frames, len(house.pixels), len(house.channels))
    codes = rng.integers(0, most + 1, shape).astype(np.uint8)
    codes[2:3] = codes[1:2]
    codes[-1] = 0
    return codes


def both_ways(house: House, codes: np.ndarray) -> tuple[Loads, Loads]:
    """As a scan has them, and from every volt and ampere, where the balances and the law hold."""
    network = build(house)
    solution = solve(network, codes)
    drawn = draw_a(network.live_law, demand_a(network.live_law, codes), solution.volts)
    assert solution.amps == pytest.approx(drawn, abs=1e-9)
    return loads(network, codes), loads_of(solution, codes)


def same(found: Loads, each: Loads) -> None:
    """1 µV, 1 µA, 1 µW: that of the agreement with ngspice."""
    for field in fields(Loads):
        if field.name == "run_pixel":
            assert np.array_equal(found.run_pixel, each.run_pixel)
        else:
            a, b = getattr(found, field.name), getattr(each, field.name)
            assert a == pytest.approx(b, abs=1e-6), field.name


FIVE = next(kind for kind in kinds().values() if kind.channel("c") and kind.law != "series")
STEPS_DOWN = next(k for k in kinds().values() if k.regulator and k.regulator.efficiency)


@pytest.mark.parametrize("wires", ["tree", "ring"])
@pytest.mark.parametrize("most", [12, 90, 255])
@pytest.mark.parametrize("frames", [1, 5, 33])
def test_loads_are_the_sums_of_every_pixel(make, wires, most, frames):
    house = two_runs(make, make.kind(), wires, rail=6.0)
    same(*both_ways(house, light(house, frames, most)))


@pytest.mark.parametrize(
    "kind",
    ["series", FIVE, STEPS_DOWN, kinds()["bullet-12v-resistor"]],
    ids=["series", "five", "step-down", "resistors"],
)
def test_loads_of_every_law(make, kind):
    made = make.series_kind() if kind == "series" else kind
    house = two_runs(make, made, rail=0.3)
    same(*both_ways(house, light(house, 20, 200)))


def test_where_no_supply_reaches_and_where_pixels_are_cut_out(make):
    house = two_runs(make, make.kind(), "half")
    same(*both_ways(house, light(house, 20, 60)))
    whole = two_runs(make, make.kind())
    cut = change(whole, runs=[replace(whole.runs[0], missing=(39,)), whole.runs[1]])
    same(*both_ways(cut, light(cut, 20, 60)))


def test_frames_with_voltage_enough_are_told_from_those_without(make):
    """The linear solve is kept exactly where every pixel has the volts its current is full at."""
    house = two_runs(make, make.kind(), rail=6.0)
    codes = np.stack([light(house, 1, 255)[0] * 0 + level for level in range(0, 250, 5)])
    network = build(house)
    volts = solve(network, codes).volts
    law = network.live_law
    _, short = _tallied(network, codes)
    assert 5 < short.sum() < 45
    assert np.array_equal(short, (volts < law.flat_v[law.kind]).any(axis=1))


def test_of_equally_low_pixels_the_first_is_told(make):
    """Nothing is lost where nothing is drawn: every pixel has the supply's volts."""
    house = two_runs(make, make.kind(idle_ma=0.0))
    found, each = both_ways(house, light(house, 1, 255) * 0)
    assert found.run_v == pytest.approx(5.0, abs=1e-12)
    same(found, each)


def test_a_frame_like_the_one_before_is_not_solved_again(make, monkeypatch):
    house = two_runs(make, make.kind())
    solved: list[int] = []

    def counted(network: object, codes: np.ndarray) -> object:
        solved.append(len(codes))
        return _tallied(network, codes)

    monkeypatch.setattr(sys.modules["sim.circuit.loads"], "_tallied", counted)
    codes = np.repeat(light(house, 4, 60, seed=3), 25, axis=0)
    same(*both_ways(house, codes))
    assert solved == [3]  # the third of the four is the second again
