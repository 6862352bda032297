"""What a meter found counts wherever something is reckoned: one house, with it and without.

The calibration halves the currents of all channels, doubles the idle one and gives the supply a
curve of its own, so that what each part of the program should say follows by hand.
"""

import numpy as np
import pytest

from layouts import change, house_data, house_from
from layouts.errors import InputError
from layouts.records import House
from sim.circuit import build, loads, solve
from sim.circuit.law import law
from sim.circuit.loading import wall_w
from sim.frame import Rig
from sim.plan.lines import demand_of
from sim.season.watts import _idle_w
from sim.upkeep import broken, frame_of_broken
from sim.upkeep.diagnosis.causes import Breakage
from sim.upkeep.diagnosis.predicted import Bench, predicted
from sim.upkeep.diagnosis.shown import still

MEASURED = {
    "supply": "box", "volts": 5, "runs": {"eave": "sk6812"}, "idle": 2.0,
    "currents": {"r": 0.5, "g": 0.5, "b": 0.5}, "curve": {"a": 3.0, "b": 1.4, "c": 0.0},
}  # fmt: skip
DATA = {
    "format": "evenfall-house/1",
    "name": "Small",
    "drawing": {"size": [6, 4]},
    "runs": [{"name": "eave", "pixels": "sk6812", "path": [[1, 3], [3, 3]]}],  # 120 pixels
    "supplies": [{"name": "box", "volts": 5, "amps": 12, "no_load_w": 1, "efficiency": 0.8}],
    "wires": [{"from": "box", "to": "eave.start", "wire": "14 AWG", "length": 1, "fuse": 10}],
    "outputs": [{"name": "A", "chain": ["eave"], "universe": 1}],
}
FULL = np.full((1, 120, 4), 255, np.uint8)
DARK = np.zeros((1, 120, 4), np.uint8)


def house(**changes) -> House:
    return house_from({**DATA, "calibration": [{**MEASURED, **changes}]})


def test_currents_and_the_wall():
    sheet, made = house_from(DATA), house()
    kind = sheet.runs[0].kind
    # idle alone: 120 pixels of twice the sheet's; the wall takes 3 W + 1.4 W for each watt out
    network = build(made)
    dark = loads(network, DARK)
    amps = float(dark.supply_a[0, 0])
    assert amps == pytest.approx(120 * 2 * kind.idle_ma / 1000, rel=2e-3)
    assert float(wall_w(network, dark)[0]) == pytest.approx(3 + 1.4 * 5 * amps)
    assert _idle_w(made) == pytest.approx(3 + 1.4 * 5 * amps)
    assert _idle_w(sheet) == pytest.approx(1 + 5 * amps / 2 / 0.8, rel=2e-3)


def test_what_is_lost_on_the_way_and_so_the_picture():
    # half the current, less than half the drop: the far pixel has more volts, and more blue
    low, high = (solve(build(each), FULL) for each in (house_from(DATA), house()))
    lost = [5 - float(each.volts[0, -1]) for each in (low, high)]
    assert lost[1] < 0.62 * lost[0]
    assert high.dim[0, -1, 2] > low.dim[0, -1, 2]


def test_a_plan_wants_what_was_measured_though_it_throws_the_supply_away():
    spare = np.zeros(120, dtype=bool)
    sheet, made = (change(each, supplies=[], wires=[]) for each in (house_from(DATA), house()))
    wanted = [demand_of(law(each), FULL, spare).amps.sum() for each in (sheet, made)]
    idle = 120 * sheet.runs[0].kind.idle_ma / 1000
    assert wanted[1] == pytest.approx((wanted[0] - idle) / 2 + 2 * idle)
    # its runs' currents stay, the supply's curve went with the supply; and the file says so
    (kept,) = made.calibration
    assert (kept.supply, kept.curve, dict(kept.runs)) == ("", None, {"eave": "sk6812"})
    assert house_from(house_data(made)).calibration == made.calibration


def test_faults_count_them_too():
    made = house()
    frame = frame_of_broken(broken(Rig(made, build(made), None), []), DARK)
    assert frame.solution.supply_a[0, 0] == pytest.approx(
        loads(build(made), DARK).supply_a[0, 0], rel=1e-9
    )


def test_a_diagnosis_counts_them_too():
    network = build(house(curve={"a": 3.0, "b": 1.4, "c": 0.004}))
    nothing = Breakage("none", (), 1.0)
    there = predicted(Bench.of(network), [nothing], still(network.house, FULL[0]))
    assert there.watts() == pytest.approx(wall_w(network, loads(network, FULL)), rel=1e-4)


def test_a_curve_belongs_to_a_supply():
    entry = {key: value for key, value in MEASURED.items() if key != "supply"}
    with pytest.raises(InputError, match="a curve of no supply"):
        house_from({**DATA, "calibration": [entry]})
    with pytest.raises(InputError, match="there is no supply 'bux'"):
        house(supply="bux")
