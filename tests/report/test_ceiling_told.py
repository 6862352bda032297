"""A ceiling and a figure past its limit as they are printed: what is read may be acted on."""

import re
from dataclasses import replace
from pathlib import Path

import pytest

from effects import bind, load_scheme
from layouts import load_house
from layouts.finding import Finding
from sim.app.state.controls import Control
from sim.circuit import Ceiling
from sim.circuit.limits import utilisation
from sim.frame import rig_for
from sim.plan.why import Why
from sim.report.limits_told import against_ceiling, why_wide
from sim.report.power import power_report
from sim.report.power_text import power_blocks
from sim.report.text import beside_ceilings
from sim.report.weather import weather_blocks, weather_of
from sim.report.wording import sentence
from sim.report.wording.plan import why_sentence
from sim.scan import scan
from sim.upkeep.rates import load_rates

ROOT = Path(__file__).resolve().parents[2]
DEMO, SIM = ROOT / "demo", ROOT / "sim"


@pytest.mark.parametrize(
    "name", ["townhouse/late", "townhouse/evening", "cottage/evening", "bungalow/evening"]
)
def test_the_ceiling_printed_keeps_every_limit(name):
    """Standing schemes of four ceilings, typed again as their reports print them."""
    path = DEMO / f"{name}.scheme.yaml"
    house = load_house(path.parent / "house.yaml")
    scheme = load_scheme(path, house)
    told = power_report(rig_for(house, scheme), bind(house, scheme), seconds=0.1)
    (printed,) = re.findall(r"Ceiling ([\d.]+) %", str(list(power_blocks(told))))
    typed = float(printed) / 100
    assert 0.2 < typed <= told.ceiling.brightness < 1
    again = replace(scheme, brightness=typed)
    seen = scan(rig_for(house, again), bind(house, again), seconds=0.1)
    assert utilisation(seen.rig.network, seen.loads).max() <= 1
    assert not [each for each in seen.load_findings if each.level != "note"]


def test_power_names_the_limit_that_binds_and_why_a_band_is_wide():
    """At twice the brightness the white of this scheme is full: it then asks for little more."""
    path = DEMO / "townhouse/late.scheme.yaml"
    house = load_house(path.parent / "house.yaml")
    scheme = load_scheme(path, house)
    told = power_report(rig_for(house, scheme), bind(house, scheme), seconds=0.1)
    said = str(list(power_blocks(told)))
    assert "run portico-beam comes first (at most 10 % of 5 V may be lost)" in said
    assert told.quick.ceiling[1] == 1
    full = scan(rig_for(house, scheme), bind(house, scheme), seconds=0.1, brightness=1.0)
    past = 100 * (utilisation(full.rig.network, full.loads).max() - 1)
    assert f"full brightness goes past that limit by {past:.2g} %" in said
    other = replace(told.ceiling, at_full=2.0)
    assert why_wide(other, 1.0, "41 %") == ""  # it is wide, but not by that
    assert why_wide(told.ceiling, 0.5, "41 %") == ""  # it is not wide


@pytest.mark.parametrize(
    ("brightness", "ceiling", "said"),
    [
        (0.6, 0.41796875, ("60 %", "41 %")),
        (0.414, 0.41309, ("41.4 %", "41.3 %")),
        (0.415, 0.41796875, ("41.5 %", "41.7 %")),
        (0.41, 0.41796875, ("41 %", "41 %")),
        (0.5, 0.5, ("50 %", "50 %")),
    ],
)
def test_what_is_above_a_ceiling_is_told_as_more(brightness, ceiling, said):
    assert against_ceiling(brightness, Ceiling(ceiling, "")) == said


@pytest.mark.parametrize(
    ("brightness", "ceilings", "said"),
    [
        (0.6, (0.418, 0.613), ("60 %", ["41 %", "61 %"])),
        (0.415, (0.41796875, 1.0), ("41.5 %", ["41.7 %", "100 %"])),
        # a tenth is too coarse beside the second ceiling
        (0.41504, (0.6, 0.41503), ("41.504 %", ["60 %", "41.503 %"])),
        (0.41504, (0.6, 0.41505), ("41.5 %", ["60 %", "41.5 %"])),  # nor above it
        (0.2, (), ("20 %", [])),
    ],
)
def test_one_brightness_stands_beside_several_ceilings(brightness, ceilings, said):
    assert beside_ceilings(brightness, ceilings) == said


def test_a_brightness_just_below_its_ceiling_is_not_told_as_above_it():
    """41.5 % was told as 42 %, and its ceiling of 41.7 % as 41 %."""
    path = DEMO / "townhouse/late.scheme.yaml"
    house = load_house(path.parent / "house.yaml")
    scheme = replace(load_scheme(path, house), brightness=0.415)
    told = power_report(rig_for(house, scheme), bind(house, scheme), seconds=0.1)
    assert 0.415 < told.ceiling.brightness < 0.42
    said = str(list(power_blocks(told)))
    assert "brightness 41.5 %" in said
    assert "Ceiling 41.7 %" in said
    assert "42 %" not in said
    assert "'41 %'" not in said  # the row of the ceiling under "How sure"
    end = weather_of(told.scan.rig, told, 20.0, load_rates(None))
    assert "41.7 %" in str(list(weather_blocks([end])))


def test_a_slider_and_its_mark_are_told_so_too():
    bright = Control("brightness", "Brightness", "slider", 0.415, unit="%", mark=0.41796875)
    assert bright.text == "41.5 %"
    assert replace(bright, value=0.6).text == "60 %"
    assert replace(bright, mark=None).text == "41.5 %"


def test_no_place_tells_a_brightness_without_its_tenths():
    """A scheme of 41.5 % is told by `brightness_percent` or beside its ceiling."""
    rounded = re.compile(r"(?<!\w)percent\([\w.]*brightness|brightness:\.0[%f]")
    found = [
        f"{path.relative_to(SIM)}: {line}"
        for path in sorted(SIM.rglob("*.py"))
        for line in path.read_text("utf-8").splitlines()
        if rounded.search(line)
    ]
    assert not found
    assert rounded.search("percent(watched.brightness)")
    assert rounded.search("{report.scan.brightness:.0%}")


@pytest.mark.parametrize(
    ("finding", "said"),
    [
        (
            Finding("warning", "voltage-drop", "eave", value=0.1002, limit=0.1,
                    detail={"run": "eave", "pixel": 9, "feed_v": 5.0}),
            "10.02% of the supply's 5 V are lost on the way to pixel 9 of run eave, more than 10%",
        ),
        (
            Finding("warning", "supply-load", "box", value=16.01, limit=16.0, unit="A",
                    detail={"rated_a": 20.0, "load": 0.8005, "share": 0.8}),
            "80.05% of its 20 A; for hours on end stay below 80%",
        ),
        (
            Finding("danger", "supply-overload", "box", value=20.04, limit=20.0, unit="A"),
            "would have to give 20.04 A and is rated 20 A",
        ),
        (
            Finding("danger", "wire-overload", "a → b", value=15.02, limit=15.0, unit="A",
                    detail={"size": "14 AWG"}),
            "carries 15.02 A and may carry 15 A",
        ),
        (
            Finding("warning", "wire-load", "a → b", value=5.62, limit=5.6, unit="A",
                    detail={"size": "18 AWG", "fused_a": 7.0, "share": 0.8}),
            "carries 5.62 A; it may be fused for 7 A, and for hours on end should carry at most 80%"
            " of that, 5.6 A",
        ),
        (
            Finding("danger", "fuse-overload", "a → b", value=5.03, limit=5.0, unit="A"),
            "5.03 A flow through a fuse of 5 A",
        ),
        (
            Finding("warning", "fuse-load", "a → b", value=3.76, limit=3.75, unit="A",
                    detail={"fuse_a": 5.0, "share": 0.75}),
            "75.2% of its rating; above 75% it ages",
        ),
        (
            Finding("warning", "pixel-voltage", "eave", value=3.498, limit=3.5, unit="V",
                    detail={"pixel": 9}),
            "gets 3.498 V, below the 3.5 V its logic needs",
        ),
    ],
    ids=lambda each: each.code if isinstance(each, Finding) else "",
)  # fmt: skip
def test_no_finding_says_that_a_figure_is_more_than_itself(finding, said):
    assert said in sentence(finding)


def test_no_reason_of_a_plan_says_so_either():
    at = {"at": "eave[30]", "fuse_a": 5.0}
    assert why_sentence(Why("fuse", "x", 3.78, 3.75, "A", at)).endswith(
        "would carry 3.8 A, more than the 3.75 A it carries for hours"
    )
    assert why_sentence(Why("wire", "x", 5.61, 5.6, "A", at)).endswith(
        "would carry 5.61 A, more than the 5.6 A it carries for hours"
    )
    drop = {"at": "eave[30]", "supply_v": 5.0}
    assert "gets 4.498 V, less than the 4.5 V" in why_sentence(
        Why("drop", "x", 4.498, 4.5, "V", drop)
    )


def test_no_place_rounds_a_ceiling_up():
    """Reports, handover and window alike tell it by `ceiling_percent`."""
    up = re.compile(
        r"(?<!ceiling_)percent\([\w.]*ceiling|ceiling(\.brightness)?:\.\d%"
        r"|100 \* [\w.]*(ceiling|mark):"
    )
    found = [
        f"{path.relative_to(SIM)}: {line}"
        for path in sorted(SIM.rglob("*.py"))
        for line in path.read_text("utf-8").splitlines()
        if up.search(line)
    ]
    assert not found
    assert up.search("percent(plan.ceiling.brightness)")
    assert up.search("{ceiling.brightness:.0%}")
