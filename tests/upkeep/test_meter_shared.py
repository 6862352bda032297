"""A run that two supplies feed: metered at one after the other, the rest unplugged."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from layouts import InputError, load_house
from layouts.calibration import Calibration
from layouts.faults import Fault
from layouts.records import House
from sim.circuit import build, loads
from sim.report.wording import sentence
from sim.upkeep.faults_circuit import circuit_with
from sim.upkeep.meter import calibrated, fit, meter_findings
from sim.upkeep.meter_write import write_calibration
from sim.upkeep.readings import load_readings

HOUSE = """format: evenfall-house/1
name: Shed
drawing: {size: [8, 4], surfaces: []}
runs:
  - {name: long, pixels: ws2812b-v5, path: [[0, 2], [4, 2]]}
supplies:
  - {name: left, volts: 5, amps: 20, efficiency: 82 %, no_load_w: 1 W, source_ohm: 0.005}
  - {name: right, volts: 5, amps: 20, efficiency: 86 %, no_load_w: 0.5 W}
wires:
  - {from: left, to: long.start, wire: 14 AWG, length: 2 m, fuse: 10 A}
  - {from: right, to: long.end, wire: 14 AWG, length: 3 m, fuse: 10 A}
"""
TRUE = {"idle": 1.2, "r": 0.9, "g": 1.05, "b": 1.1}
LOOKS = ("off", "r", "g", "b", "all", "half")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    made = tmp_path / "house.yaml"
    made.write_text(HOUSE, encoding="utf-8")
    return made


def written(path: Path, watts: dict[str, dict[str, float]], alone: bool = True) -> Path:
    lines = ["format: evenfall-readings/1", "meter: checked", "readings:"]
    for supply, looks in watts.items():
        lines += [
            f"  - {{supply: {supply}, lit: {look}, watts: {value}{', alone: true' * alone}}}"
            for look, value in looks.items()
        ]
    out = path.with_name("shed.readings.yaml")
    out.write_text("\n".join(lines), encoding="utf-8")
    return out


def really(house: House, supply: int, times: float = 1.0) -> dict[str, float]:
    """What an exact meter shows at one supply of the true house while the other is unplugged."""
    kinds = {run.name: run.kind.name for run in house.runs}
    currents = {name: TRUE[name] * times for name in "rgb"}
    true = replace(house, calibration=(Calibration("left", 5.0, kinds, TRUE["idle"], currents),))
    own, other = true.supplies[supply], true.supplies[1 - supply]
    network = circuit_with(build(true), [Fault("off", supply=other.name)])
    blank = written(Path(house.file), {own.name: dict.fromkeys(LOOKS, 1.0)})
    shown = {}
    for each in load_readings(blank, house).readings:
        amps = float(loads(network, each.codes).supply_a[0, supply])
        dc_w = amps * (own.volts - own.source_ohm * amps)
        shown[each.lit] = own.no_load_w + dc_w / own.efficiency
    return shown


def test_each_supply_alone_finds_the_pixels_again(path: Path) -> None:
    house = load_house(path)
    watts = {"left": really(house, 0), "right": really(house, 1)}
    fits = fit(load_readings(written(path, watts), house), house)
    for each in fits:
        assert {k: each.found[k] for k in TRUE} == pytest.approx(TRUE, rel=1e-5)
    assert meter_findings(fits) == ()
    # one of the two entries keeps the run, so that the file can be read again
    made = calibrated(house, fits)
    assert sorted(len(each.runs) for each in made.calibration) == [0, 1]
    write_calibration(made, path)
    assert load_house(path).calibration == made.calibration


def test_two_that_contradict_each_other_are_told(path: Path) -> None:
    house = load_house(path)
    watts = {"left": really(house, 0), "right": really(house, 1, times=1.4)}
    fits = fit(load_readings(written(path, watts), house), house)
    odds = [each for each in meter_findings(fits) if each.code == "meter-supplies-differ"]
    assert [each.detail["what"] for each in odds] == ["b", "g", "r"]
    assert "read both again" in sentence(odds[0])


def test_with_both_plugged_in_the_reason_is_said(path: Path) -> None:
    house = load_house(path)
    readings = load_readings(written(path, {"left": really(house, 0)}, alone=False), house)
    with pytest.raises(InputError, match=r"fed by left, right.*alone: true"):
        fit(readings, house)
