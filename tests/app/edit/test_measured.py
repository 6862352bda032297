"""What a meter found follows the runs and supplies it is of."""

from __future__ import annotations

from pathlib import Path

import pytest

from layouts import load_house
from sim.app.edit import commands as c
from sim.app.edit.draft import Draft, draft_of, house_of, made
from sim.upkeep.meter import calibrated, fit
from sim.upkeep.meter_write import write_calibration
from sim.upkeep.readings import load_readings

DEMO = Path(__file__).resolve().parents[3] / "demo" / "bungalow"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    for file in ("house.yaml", "meter.readings.yaml", "evening.scheme.yaml"):
        (tmp_path / file).write_bytes((DEMO / file).read_bytes())
    path = tmp_path / "house.yaml"
    house = load_house(path)
    fits = fit(load_readings(tmp_path / "meter.readings.yaml", house), house)
    write_calibration(calibrated(house, fits), path)
    return path


def after(path: Path, command: c.Command) -> Draft:
    return made(draft_of(path), command)


def test_new_names_are_said_there_too(path: Path) -> None:
    run = after(path, c.Rename(c.Item("run", "eave-left"), "left"))
    (found,) = house_of(run).calibration
    assert set(found.runs) == {"left", "eave-right", "hedge-string"}
    supply = after(path, c.Rename(c.Item("supply", "roof-space"), "attic"))
    assert house_of(supply).calibration[0].supply == "attic"


def test_what_is_gone_is_gone_there_too(path: Path) -> None:
    run = after(path, c.Delete((c.Item("run", "eave-left"),), along=True))
    assert set(house_of(run).calibration[0].runs) == {"eave-right", "hedge-string"}
    supply = after(path, c.Delete((c.Item("supply", "roof-space"),), along=True))
    assert house_of(supply).calibration == ()


def test_reels_follow_their_runs(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    text += "spread:\n  reels: [[eave-left, eave-right], [hedge-string]]\n"
    path.write_text(text, encoding="utf-8")
    named = after(path, c.Rename(c.Item("run", "eave-left"), "left"))
    assert house_of(named).spread.reels == (("left", "eave-right"), ("hedge-string",))
    gone = c.Delete((c.Item("run", "eave-left"), c.Item("run", "hedge-string")), along=True)
    assert house_of(after(path, gone)).spread.reels == (("eave-right",),)


def test_a_plan_made_anew_keeps_what_pixels_draw(path: Path, tmp_path: Path) -> None:
    from typer.testing import CliRunner

    from sim.cli.main import app

    house = load_house(path)
    text = path.read_text(encoding="utf-8")
    text += "places:\n  - {name: hall, at: [3 m, 2 m], mains: true, sheltered: true}\n"
    path.write_text(text, encoding="utf-8")
    told = CliRunner().invoke(app, ["plan", str(path), "--anew", "--write"])
    assert told.exit_code == 0, told.stderr
    assert house.calibration
    again = load_house(path)
    # supplies and their curves are gone, what the pixels draw stays
    assert all(each.supply == "" and each.curve is None for each in again.calibration)
    assert [each.currents for each in again.calibration] == [
        each.currents for each in house.calibration
    ]
