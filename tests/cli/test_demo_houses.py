"""Every demo house and scheme goes through check and power, and none of them is dangerous."""

import json
import re
from functools import cache
from pathlib import Path

import pytest

from effects import bind, load_scheme
from layouts import load_house
from sim.frame import rig_for
from sim.report.jsonable import jsonable
from sim.report.power import power_report
from sim.report.power_data import as_json

DEMO = Path(__file__).resolve().parents[2] / "demo"
SCHEMES = sorted(DEMO.glob("*/*.scheme.yaml"))


@pytest.fixture(scope="module")
def read():
    """A demo house, read once for all its schemes."""
    return cache(load_house)


@pytest.mark.parametrize("scheme", SCHEMES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_power(run, read, scheme):
    """Of a house's first scheme by the command itself, of the others by what it calls."""
    path = scheme.parent / "house.yaml"
    if scheme == next(each for each in SCHEMES if each.parent == scheme.parent):
        result = run("power", path, scheme, "--seconds", "1s", "--json")
        assert result.exit_code == 0, (result.stdout, result.stderr)
        report = json.loads(result.stdout)
    else:
        house = read(path)
        made = load_scheme(scheme, house)
        told = power_report(rig_for(house, made), bind(house, made), seconds=1.0)
        assert not [found for found in told.findings if found.level == "danger"]
        report = jsonable(as_json(told))
    assert report["supplies"]
    assert 0 < report["energy"]["dc_w_mean"] < report["energy"]["wall_w_mean"]
    for supply in report["supplies"]:
        assert 0 < supply["mean_a"] <= supply["peak_a"] <= supply["nameplate_a"]
        assert supply["load"] <= 0.8
    assert report["brightness"] <= report["brightness_ceiling"]


@pytest.mark.parametrize("house", sorted(DEMO.glob("*/house.yaml")), ids=lambda p: p.parent.name)
def test_check(run, house):
    schemes = sorted(house.parent.glob("*.scheme.yaml"))
    result = run("check", house, *schemes, "--seconds", "1s", "--json")
    assert result.exit_code == 0, (result.stdout, result.stderr)
    report = json.loads(result.stdout)
    assert len(report["schemes"]) == len(schemes)
    parts = [report, *report["schemes"]]
    assert not [found for part in parts for found in part["findings"] if found["level"] == "danger"]
    # what it is warned of is there on purpose, and its file says so
    text = " ".join(house.read_text("utf-8").replace("\n# ", " ").split())
    warned = {
        found["code"] for part in parts for found in part["findings"] if found["level"] == "warning"
    }
    said = re.findall(r"`evenfall check` warns of ([\w-]+) here", text)
    assert set(said) == (warned or ({"nothing"} if schemes else set()))
    assert not warned or "here, on purpose: " in text


def test_each_house_has_the_parts_the_readme_promises():
    assert len(SCHEMES) >= 12
    places = {path.parent.name for path in SCHEMES}
    assert places == {"bungalow", "cottage", "lodge", "photo", "townhouse"}
