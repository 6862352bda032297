"""Readings fitted in the circuit of a house, and kept in its file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from layouts import InputError, change, house_data, house_findings, house_from, load_house
from layouts.calibration import Calibration, SupplyCurve, curve
from layouts.records import House
from sim.circuit import build, loads
from sim.circuit.loading import wall_w
from sim.report.wording import sentence
from sim.upkeep.meter import MeterFit, calibrated, fit, meter_findings
from sim.upkeep.meter_write import write_calibration
from sim.upkeep.readings import PLAIN, load_readings, readings_schema

TEXT = """format: evenfall-house/1
name: Shed  # mine
drawing: {{size: [6, 4], surfaces: []}}
runs:
  - {{name: left, pixels: {kind}, path: [[0, 2], [2, 2]]}}
supplies:
  - {{name: box, volts: {volts}, amps: 20, efficiency: 82 %, no_load_w: 1 W, source_ohm: 0.005}}
wires:
  - {{from: box, to: left.start, wire: 14 AWG, length: 2 m, fuse: 10 A}}
  - {{from: box, to: left.end, wire: 14 AWG, length: 3 m, fuse: 10 A}}
"""
TRUE = {"idle": 1.3, "r": 0.9, "g": 1.05, "b": 1.1}


@pytest.fixture
def shed(tmp_path: Path) -> Path:
    return shed_of(tmp_path, "ws2812b-v5", 5)


def shed_of(folder: Path, kind: str, volts: float) -> Path:
    path = folder / "house.yaml"
    path.write_text(TEXT.format(kind=kind, volts=volts), encoding="utf-8")
    return path


def really(house: House, law: SupplyCurve | None = None) -> House:
    """The house as its parts truly are."""
    run = house.runs[0]
    currents = {name: TRUE[name] for name in "rgb"}
    true = Calibration("box", house.supplies[0].volts, {"left": run.kind.name}, TRUE["idle"],
                       currents, law)  # fmt: skip
    return replace(house, calibration=(true,))


def read(path: Path, looks: dict[str, float], meter: str = "checked", **amps: float) -> Path:
    lines = [f"format: evenfall-readings/1\nmeter: {meter}\nreadings:"]
    for look, watts in looks.items():
        clamp = f", amps: {amps[look]}" if look in amps else ""
        lines.append(f"  - {{lit: {look}, watts: {watts}{clamp}}}")
    out = path.parent / "shed.readings.yaml"
    out.write_text("\n".join(lines), encoding="utf-8")
    return out


def shown(house: House, path: Path, looks: tuple[str, ...]) -> dict[str, float]:
    """What an exact meter shows of `house`; a supply alone takes a."""
    blank = load_readings(read(path, dict.fromkeys(looks, 1.0)), house)
    network = build(house)
    alone_w = curve(house, house.supplies[0]).a_w
    return {
        each.lit: alone_w
        if each.lit == "unplugged"
        else float(wall_w(network, loads(network, each.codes))[0])
        for each in blank.readings
    }


def fitted(path: Path, looks: dict[str, float], **more: float) -> MeterFit:
    house = load_house(path)
    (made,) = fit(load_readings(read(path, looks, **more), house), house)
    return made


def test_what_the_pixels_draw_is_found_again(shed: Path) -> None:
    # a house whose parts are known to differ so, metered exactly: drop on the way and all
    looks = shown(really(load_house(shed)), shed, ("off", "r", "g", "b", "all", "half"))
    made = fitted(shed, looks)
    assert set(made.found) == {"idle", "r", "g", "b"}
    assert made.found == pytest.approx(TRUE, rel=1e-6)
    assert made.spare == 2
    assert made.law_holds
    assert meter_findings([made]) == ()


def test_the_sheet_fits_itself(shed: Path) -> None:
    looks = shown(load_house(shed), shed, ("off", "r", "g", "b", "all", "half"))
    assert fitted(shed, looks).found == pytest.approx(dict.fromkeys(TRUE, 1.0), rel=1e-6)


def test_the_supply_alone_and_a_clamp_give_its_curve(shed: Path) -> None:
    true = really(load_house(shed), SupplyCurve(2.8694, 1.04735))
    # a and b of the curve through 82 and 85 % at 20 and 50 W [calc]
    looks = shown(true, shed, ("unplugged", "off", "r", "g", "b", "all"))
    codes = load_readings(shed.parent / "shed.readings.yaml", true).readings
    network = build(true)
    amps = {e.lit: float(loads(network, e.codes).supply_a[0, 0]) for e in codes if e.codes.any()}
    made = fitted(shed, looks, **amps)
    # the clamp says amperes at the nominal voltage: off by what its 5 mΩ take, 0.5 %
    assert made.found["curve_a"] == pytest.approx(2.8694, abs=0.1)
    assert made.found["curve_b"] == pytest.approx(1.04735, rel=0.01)
    assert made.found["r"] == pytest.approx(TRUE["r"], rel=0.01)


def test_the_loss_that_grows_with_load_is_found(shed: Path) -> None:
    # c of the curve through 82/85/82 % at 20, 50 and 100 W: 1.4347e-3 /W [calc]; ten times it,
    # since so short a run loads its supply little
    true = really(load_house(shed), SupplyCurve(1.0, 1 / 0.82, 0.014347))
    looks = shown(true, shed, ("unplugged", "off", "r", "g", "b", "all", "half"))
    made = fitted(shed, looks)
    assert made.found["curve_c"] == pytest.approx(0.014347, rel=1e-3)
    assert made.found["g"] == pytest.approx(TRUE["g"], rel=1e-4)


def test_two_readings_give_a_scale_and_its_uncertainty(shed: Path) -> None:
    looks = shown(really(load_house(shed)), shed, ("off", "all"))
    made, sure = (fitted(shed, looks, meter=meter) for meter in ("unknown", "checked"))  # type: ignore[arg-type]
    assert set(made.found) == {"idle", "all"}
    assert made.found["all"] == pytest.approx(1.02, abs=0.03)
    # ±15 % of the meter as a rectangle is 8.7 %, the supply's ±5 % is 2.9 %: together 9.1 % [calc]
    assert made.uncertainty["all"] / made.found["all"] == pytest.approx(0.091, abs=0.01)
    assert sure.uncertainty["all"] < made.uncertainty["all"] / 2
    (found,) = meter_findings([made])
    assert (found.code, found.level) == ("meter-too-few", "note")
    assert "r, g, b, half" in sentence(found)


def test_dies_in_series_sold_as_three_colours_are_told(shed: Path) -> None:
    # the published identification's rejection: all-on reads like red alone
    looks = {"off": 3.0, "r": 12.0, "g": 12.1, "b": 11.9, "all": 12.0, "half": 7.5}
    made = fitted(shed, looks)
    assert not made.law_holds
    assert not made.can_write
    (found,) = (each for each in meter_findings([made]) if each.level == "danger")
    assert found.code == "meter-law"
    assert "one current for all colours" in sentence(found)


def test_a_series_kind_has_one_current(tmp_path: Path) -> None:
    shed = shed_of(tmp_path, "ws2815", 12)
    house = load_house(shed)
    true = replace(really(house), calibration=(replace(
        really(house).calibration[0], currents=dict.fromkeys("rgb", 0.85)),))  # fmt: skip
    made = fitted(shed, shown(true, shed, ("off", "r", "g", "b", "all", "half")))
    assert made.law_holds
    assert made.found == pytest.approx({"idle": 1.3, "all": 0.85}, rel=1e-5)


def test_a_reading_that_does_not_fit_is_told(shed: Path) -> None:
    looks = shown(really(load_house(shed)), shed, ("off", "r", "g", "b", "all", "half"))
    looks["half"] += 3
    (found,) = meter_findings([fitted(shed, looks)])
    assert (found.code, found.level) == ("meter-residual", "warning")


@pytest.mark.parametrize(
    ("looks", "said"),
    [
        ({"off": 5, "r": 3}, "and 5 W when off"),
        ({"unplugged": 4, "off": 2}, "the supply alone takes 4 W"),
        ({"off": 2, "r": 9, "all": 6}, "all of it takes 6 W, 'r' 9 W"),
        ({"off": 0.4, "all": 30}, "for 'idle', which cannot be"),
        ({"off": 2, "all": 400}, "more than box can take"),
        ({"off": 0}, "more than 0 W"),
        ({"off": 2, "w": 9}, "has the channel w"),
        ({"off": 2, "alll": 9}, "did you mean 'all'?"),
    ],
)
def test_readings_that_cannot_be(shed: Path, looks: dict[str, float], said: str) -> None:
    with pytest.raises(InputError, match=said) as refused:
        fitted(shed, looks)
    assert (
        "shed.readings.yaml:4:" in str(refused.value)
        or ":5:" in str(refused.value)
        or (":6:" in str(refused.value))
    )


def test_only_off_finds_only_idle(shed: Path) -> None:
    made = fitted(shed, {"off": 2.0})
    assert set(made.found) == {"idle"}
    assert [each.code for each in meter_findings([made])] == ["meter-too-few"]
    assert not fitted(shed, {"all": 12.0}).can_write


def test_it_is_kept_in_the_file_and_reckoned_with(shed: Path) -> None:
    house = load_house(shed)
    made = fitted(shed, shown(really(house), shed, ("off", "r", "g", "b", "all", "half")))
    before = shed.read_text(encoding="utf-8")
    write_calibration(calibrated(house, [made]), shed)
    text = shed.read_text(encoding="utf-8")
    assert text.startswith(before)
    again = load_house(shed)
    assert again.calibration == (made.calibration,)
    codes = np.full((1, len(again.pixels), 4), 255, dtype=np.uint8)
    true, now, sheet = (
        loads(build(each), codes).supply_a[0, 0] for each in (really(house), again, house)
    )
    assert now == pytest.approx(true, rel=1e-3)
    assert abs(sheet / true - 1) > 0.01
    # measuring again replaces it and starts from the sheet, not from what was found
    write_calibration(calibrated(again, [made]), shed)
    assert shed.read_text(encoding="utf-8") == text


def test_it_goes_through_data_and_changes(shed: Path) -> None:
    house = really(load_house(shed), SupplyCurve(2.0, 1.1, 0.001))
    assert house_from(house_data(house)).calibration == house.calibration
    assert change(house, temperature_c=-10).calibration == house.calibration
    assert change(house, calibration=house.calibration).calibration == house.calibration
    assert change(house, calibration=[]).calibration == ()
    other = change(house, runs={"left": {"pixels": "sk6812"}})
    (found,) = (e for e in house_findings(other) if e.code == "calibration-other-kind")
    assert "measure again" in sentence(found)
    codes = np.full((1, len(other.pixels), 4), 255, dtype=np.uint8)
    bare = replace(other, calibration=())
    assert loads(build(other), codes).supply_a == pytest.approx(loads(build(bare), codes).supply_a)
    gone = change(house, supplies={"box": None}, wires=[])
    # the supply and its curve are gone; what the pixels draw was measured of them and stays
    (kept,) = gone.calibration
    (before,) = house.calibration
    assert (kept.supply, kept.curve) == ("", None)
    assert (kept.idle, kept.currents, kept.runs) == (before.idle, before.currents, before.runs)


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ("{supply: bax, volts: 5, runs: {left: ws2812b}}", "no supply 'bax'"),
        ("{supply: box, volts: 5, runs: {lift: ws2812b}}", "did you mean 'left'?"),
        ("{supply: box, volts: 5, runs: {left: ws2812b}, idle: -1}", "at least 0"),
    ],
)
def test_a_calibration_that_is_wrong_is_refused(shed: Path, entry: str, said: str) -> None:
    shed.write_text(f"{shed.read_text(encoding='utf-8')}calibration:\n  - {entry}\n", "utf-8")
    with pytest.raises(InputError) as refused:
        load_house(shed)
    assert said in str(refused.value)


def test_the_schema_names_what_may_be_lit() -> None:
    look = readings_schema()["$defs"]["ReadingEntry"]["properties"]["lit"]
    assert set(PLAIN) < set(look["examples"])
