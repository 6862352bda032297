"""`evenfall meter`: the story of 31 and 96 W, told, kept, and reckoned with."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from layouts import InputError, load_house
from sim.upkeep.meter import fit
from sim.upkeep.readings import load_readings


@pytest.fixture
def bungalow(tmp_path: Path, demo: Path) -> Path:
    return Path(shutil.copytree(demo / "bungalow", tmp_path / "bungalow")) / "house.yaml"


def test_the_story_of_31_and_96_watts(run, bungalow: Path):
    readings = str(bungalow.parent / "meter.readings.yaml")
    evening = str(bungalow.parent / "evening.scheme.yaml")
    before = bungalow.read_bytes()
    told = run("meter", str(bungalow), readings, "--json")
    assert told.exit_code == 0
    assert bungalow.read_bytes() == before  # nothing is written unless it is asked for
    found = json.loads(told.stdout)
    (supply,) = found["supplies"]
    assert set(supply["found"]) == {"idle", "all"}
    # ±15 % of the meter as a rectangle alone is 8.7 %
    for each in supply["found"].values():
        assert 0.087 < each["uncertainty"] / each["value"] < 0.11
    written = run("meter", str(bungalow), readings, "--write")
    assert written.exit_code == 0, written.stderr
    assert "Unplug" in written.stdout
    text = bungalow.read_bytes()
    section = text.index(b"calibration:")
    rest = text[:section] + text[text.index(b"readings: meter.readings.yaml\n", section) + 30 :]
    assert rest == before  # every other byte stays
    # what the meter showed is what the tool says now
    energy = json.loads(run("power", str(bungalow), evening, "--json").stdout)["energy"]
    assert energy["idle_wall_w"] == pytest.approx(31, abs=0.05)
    assert energy["wall_w_mean"] == pytest.approx(96, abs=0.5)
    # told again, the same
    again = run("meter", str(bungalow), readings, "--write")
    assert again.exit_code == 0
    assert bungalow.read_bytes() == text


@pytest.mark.parametrize(
    ("lines", "status", "said"),
    [
        ("  - {lit: off, watts: 31}\n  - {lit: all, watts: 20}", 2, ":4:"),
        ("  - {lit: all, watts: 150}", 2, "too few"),
        ("  - {lit: off, watts: -3}", 2, ":3:"),
        ("  - {suply: x, lit: off, watts: 3}", 2, "did you mean 'supply'"),
        ("  - {supply: roof, lit: off, watts: 3}", 2, "roof-space"),
        ("  - {lit: evening, watts: 3}", 2, "evening.scheme.yaml"),
        ("  - {lit: off, watts: 31}\n  - {lit: off, watts: 31, brightness: 0.5}", 2, "brightness"),
    ],
)
def test_bad_readings_write_nothing(run, bungalow: Path, lines: str, status: int, said: str):
    readings = bungalow.parent / "bad.readings.yaml"
    readings.write_text(f"format: evenfall-readings/1\nreadings:\n{lines}\n", encoding="utf-8")
    before = bungalow.read_bytes()
    told = run("meter", str(bungalow), str(readings), "--write")
    assert told.exit_code == status
    assert said in told.stderr
    assert bungalow.read_bytes() == before


def test_another_law_writes_nothing(run, bungalow: Path):
    # pixels sold as dies in series whose colours add up: a kind that is not what the file says
    readings = bungalow.parent / "sum.readings.yaml"
    looks = {"off": 28, "r": 90, "g": 91, "b": 89, "all": 214, "half": 121}
    lines = "\n".join(f"  - {{lit: {look}, watts: {watts}}}" for look, watts in looks.items())
    readings.write_text(f"format: evenfall-readings/1\nreadings:\n{lines}\n", encoding="utf-8")
    house = bungalow.read_text(encoding="utf-8").replace("ws2811-12v-group3", "ws2815")
    bungalow.write_text(house, encoding="utf-8")
    told = run("meter", str(bungalow), str(readings), "--write")
    assert told.exit_code == 1
    assert "a current for each colour" in " ".join(told.stdout.split())
    assert "nothing was written" in told.stderr
    assert bungalow.read_text(encoding="utf-8") == house


def test_a_run_that_two_supplies_feed_tells_nothing(tmp_path: Path):
    path = tmp_path / "house.yaml"
    path.write_text(
        "format: evenfall-house/1\nname: h\ndrawing: {size: [6, 4]}\n"
        "runs: [{name: a, pixels: sk6812, path: [[0, 1], [3, 1]]}]\n"
        "supplies: [{name: s, volts: 5, amps: 9}, {name: t, volts: 5, amps: 9}]\n"
        "wires: [{from: s, to: a.start, wire: 14 AWG, length: 1}, "
        "{from: t, to: a.end, wire: 14 AWG, length: 1}]\n",
        encoding="utf-8",
    )
    readings = tmp_path / "a.readings.yaml"
    readings.write_text(
        "format: evenfall-readings/1\nreadings: [{supply: s, lit: off, watts: 3}]\n",
        encoding="utf-8",
    )
    house = load_house(path)
    with pytest.raises(InputError, match="fed by s, t"):
        fit(load_readings(readings, house), house)
