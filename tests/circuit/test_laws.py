"""Laws of nodes with resistors, regulators and staggered currents, against worked figures.

The figures are arithmetic on a node of a WS2811 with three dies of 2.0, 3.2 and 3.2 V behind a
driver of 16 mA and 0.73 mA of its own: what each law says at a voltage, and a string of such
nodes solved node by node. They were worked out apart from this project.
"""

from types import SimpleNamespace

import numpy as np
import pytest

from layouts import Channel, InputError, house_from
from layouts.records import House, Kind, Regulator
from sim.circuit import build, solve
from sim.circuit.law import demand_a, draw_a, law, nameplate_a

VOLTS = (13.2, 12, 11, 10, 9, 8, 7, 6)
WHITE = (255, 255, 255, 0)

#: [mA] of a white node at VOLTS.
WORKED_MA = {
    "resistors": (35.71, 31.40, 27.8, 24.22, 20.63, 17.04, 13.45, 9.85),
    "linear": (49.33, 49.33, 49.33, 49.33, 49.33, 49.33, 49.33, 49.33),
    "step-down": (21.92, 24.09, 26.3, 28.86, 32.0, 36.03, 41.15, 47.97),
}
#: String of N white nodes, 100 mm of 20 AWG at 6.66205 mΩ a pitch, the first one pitch from a
#: stiff 12 V: volts of the last, amperes of all.
WORKED_STRINGS = {
    "resistors": {50: (11.7399, 1.5385), 100: (11.0405, 2.9082), 150: (10.0692, 4.0081)},
    "linear": {50: (11.5810, 2.4665), 100: (10.3404, 4.9330), 150: (8.2782, 7.3995)},
    "step-down": {50: (11.7924, 1.2185), 100: (11.1384, 2.5304), 150: (9.8674, 4.1070)},
}
PITCH_OHM = 6.66205e-3


def node(make: SimpleNamespace, name: str) -> Kind:
    """The worked node as one of three."""
    channels = tuple(
        Channel(c, 16.0, vf, 1.0, dominant_nm=nm, fwhm_nm=20.0)
        for c, vf, nm in (("r", 2.0, 620.0), ("g", 3.2, 525.0), ("b", 3.2, 470.0))
    )
    rails = {"rail_ohm_per_m": PITCH_OHM / 2 / 0.1, "pitch_m": 0.1, "mount": "string"}
    both = {"channels": channels, "supply_v": 12.0, **rails}
    match name:
        case "resistors":  # 910 Ω a colour, its logic fed through 3.4 kΩ, 0.3 V of the driver
            idle = {"idle_ma": 7000 / 3400, "idle_resistor": True, "min_v": 6.0}
            return make.kind(law="resistor", resistor_ohm=910.0, headroom_v=0.3, **idle, **both)
        case "linear":
            made = Regulator(dropout_v=1.7, own_ma=0.6)
            return make.kind(law="regulator", regulator=made, idle_ma=0.73, min_v=5.9, **both)
    made = Regulator(dropout_v=0.4, own_ma=0.2, efficiency=0.85)
    return make.kind(law="regulator", regulator=made, idle_ma=0.73, min_v=4.9, **both)


def string(make: SimpleNamespace, kind: Kind, count: int) -> House:
    """A string fed at its start; half a pitch is rail, the wire is as long as the other half."""
    supply = [make.supply(volts=12.0)]
    made = make.house({"a": (kind, count)}, supply, [("psu", "a.start", "18 AWG", 1.0)])
    length_m = PITCH_OHM / 2 / 2 * 58 * made.wires[0].size.area_mm2  # 58 MS/m, both conductors
    return make.house({"a": (kind, count)}, supply, [("psu", "a.start", "18 AWG", length_m)])


@pytest.mark.parametrize("name", WORKED_MA)
def test_what_a_node_draws(make: SimpleNamespace, name: str) -> None:
    own = law(string(make, node(make, name), 1))
    demand = demand_a(own, np.array([WHITE]))
    drawn_ma = [1000 * draw_a(own, demand, np.array([v]))[0] for v in VOLTS]
    assert drawn_ma == pytest.approx(WORKED_MA[name], abs=0.051)
    at_nominal = WORKED_MA[name][VOLTS.index(12)]
    assert 1000 * nameplate_a(own)[0] == pytest.approx(at_nominal, abs=0.006)


@pytest.mark.parametrize("count", [50, 100, 150])
@pytest.mark.parametrize("name", WORKED_STRINGS)
def test_a_string(make: SimpleNamespace, name: str, count: int) -> None:
    codes = np.tile(np.uint8(WHITE), (1, count, 1))
    solution = solve(build(string(make, node(make, name), count)), codes)
    end_v, amps = WORKED_STRINGS[name][count]
    assert solution.volts[0, -1] == pytest.approx(end_v, abs=6e-5)
    assert solution.supply_a[0, 0] == pytest.approx(amps, abs=6e-5)


#: Duties of the three dies in series, 15 mA and 2.1 mA idle: staggered, overlapping [mA].
SHARED = (
    ((1, 1, 1), 17.1, 17.1),
    ((1, 0, 0), 17.1, 17.1),
    ((0.5, 0.5, 0.5), 17.1, 9.6),
    ((0.2, 0.2, 0.2), 11.1, 5.1),
    ((0.6, 0.3, 0), 15.6, 11.1),
)


@pytest.mark.parametrize(("duty", "staggered_ma", "overlapping_ma"), SHARED)
def test_one_current_through_three_dies(
    make: SimpleNamespace, duty: tuple, staggered_ma: float, overlapping_ma: float
) -> None:
    channels = tuple(
        Channel(c, 15.0, vf, 1.0, dominant_nm=nm, fwhm_nm=20.0)
        for c, vf, nm in (("r", 2.0, 620.0), ("g", 3.2, 525.0), ("b", 3.2, 470.0))
    )
    for how, worked_ma in (("staggered", staggered_ma), ("series", overlapping_ma)):
        kind = make.kind(
            law=how, channels=channels, supply_v=12.0, idle_ma=2.1, min_v=5.0, rail_ohm_per_m=1e-9
        )
        made = make.house(
            {"a": (kind, 1)}, [make.supply(volts=12.0)], [("psu", "a.start", "18 AWG", 1e-3)]
        )
        codes = np.zeros((1, 1, 4), dtype=np.uint8)
        codes[0, 0, :3] = np.round(np.array(duty) * 255)
        drawn_ma = 1000 * solve(build(made), codes).supply_a[0, 0]
        assert drawn_ma == pytest.approx(worked_ma, abs=0.06)


def lumped(make: SimpleNamespace, watts: float) -> House:
    """One step-down node of so many watts behind 1 Ω of 12 V: P = η·v·i."""
    channels = (Channel("r", watts / 5 * 1000, 2.0, 1.0, dominant_nm=620.0, fwhm_nm=20.0),)
    made = Regulator(dropout_v=0.0, own_ma=0.0, efficiency=1.0)
    kind = make.kind(
        channels=channels, order="r", law="regulator", regulator=made, supply_v=12.0,
        idle_ma=0.0, min_v=3.0, rail_ohm_per_m=1e-6,
    )  # fmt: skip
    wire = make.wire(ohm_per_m=0.25)  # 1 m of both its conductors; the supply's inside is the rest
    wires = [("psu", "a.start", wire, 1.0)]
    return make.house({"a": (kind, 1)}, [make.supply(volts=12.0, ohm=0.5)], wires)


# v = (V + √(V² − 4·R·P))/2 with V 12 V, R 1 Ω; the most is V²/4R = 36 W, at 6 V.
@pytest.mark.parametrize(
    ("watts", "volts", "amps"),
    [
        (20, 10.0, 2.0),
        (30, 8.449490, 3.550510),
        (35.9, 6.316228, 5.683772),
        (35.999, 6.031623, 5.968377),
    ],
)
def test_constant_power_takes_the_upper_voltage(
    make: SimpleNamespace, watts: float, volts: float, amps: float
) -> None:
    codes = np.full((1, 1, 4), 255, dtype=np.uint8)
    solution = solve(build(lumped(make, watts)), codes)
    assert solution.volts[0, 0] == pytest.approx(volts, abs=2e-5)
    assert solution.supply_a[0, 0] == pytest.approx(amps, abs=2e-5)


def test_beyond_it_the_voltage_collapses(make: SimpleNamespace) -> None:
    """37 W behind 1 Ω have no voltage of their own: the node only switches through."""
    codes = np.full((1, 1, 4), 255, dtype=np.uint8)
    solution = solve(build(lumped(make, 37.0)), codes)
    assert solution.volts[0, 0] < 5.0
    residual = 12 - solution.supply_a[0, 0] - solution.volts[0, 0]
    assert abs(residual) < 1e-6


def test_a_house_without_regulators_is_solved_as_it_was(make: SimpleNamespace) -> None:
    wires = [("psu", "a.start", "18 AWG", 1.0)]
    assert not build(make.house({"a": (make.kind(), 5)}, [make.supply()], wires)).law.falls


WRONG = {
    "resistor without ohms": ({"law": "resistor"}, "resistor_ohm"),
    "ohms without their law": ({"resistor_ohm": 910}, "law: resistor"),
    "regulator without dropout": ({"law": "regulator", "regulator_ma": 0.6}, "dropout_v"),
    "regulator above its supply": (
        {"law": "regulator", "regulator_ma": 0.6, "dropout_v": 8}, "too few"
    ),
    "efficiency of nothing": (
        {"law": "regulator", "regulator_ma": 0.6, "dropout_v": 1, "efficiency": 0}, "efficiency"
    ),
}  # fmt: skip


@pytest.mark.parametrize("case", WRONG)
def test_what_is_refused(case: str) -> None:
    keys, words = WRONG[case]
    data = {
        "format": "evenfall-house/1",
        "name": "a house",
        "units": "m",
        "drawing": {"size": [10, 5], "surfaces": []},
        "kinds": {"node": {"like": "ws2811-12v-group3", **keys}},
        "runs": [{"name": "a", "pixels": "node", "path": [[0, 1], [5, 1]]}],
    }
    with pytest.raises(InputError, match=words):
        house_from(data)
