"""Mean watts of schemes on a house."""

from dataclasses import replace
from types import MappingProxyType

import pytest

from effects import Layer, Scheme, bind
from sim.frame import rig_for
from sim.report.wording import sentence
from sim.scan import scan
from sim.season import bill, measure, plan, warned


def of_one(season, scheme):
    """A season that shows this scheme every evening."""
    return replace(season(), schemes=MappingProxyType({"warm": scheme}))


@pytest.mark.parametrize("every_s", [1.0, 7.0, 800.0])
def test_the_mean_is_that_of_all_frames(house, season, every_s):
    """A scheme of a second is at its height at every full one: one frame a second finds no mean."""
    swell = Layer("swell", palette=("#ffffff",), settings={"every": every_s, "low": 0.0})
    scheme = Scheme("Swell", "swell", (swell,), fps=40.0)
    measured = measure(house, of_one(season, scheme)).watts.lit["warm"]
    every = scan(rig_for(house, scheme), bind(house, scheme)).energy.wall_w_mean
    assert measured == pytest.approx(every, rel=0.02)


def test_without_supplies_the_energy_is_that_of_the_pixels_and_that_is_said(house, season):
    bare = replace(house, supplies=(), wires=())
    year = plan(season(), 2026)
    measured = measure(bare, year.season)
    year = warned(year, measured)
    (finding,) = [each for each in year.findings if each.code == "season-unfed"]
    assert finding.level == "warning"
    assert "names no supply" in sentence(finding)
    show = bind(bare, year.season.schemes["warm"])
    seen = scan(rig_for(bare, year.season.schemes["warm"]), show)
    assert measured.watts.lit["warm"] == pytest.approx(seen.energy.dc_w_mean)
    assert not bill(year, measured.watts).watts.fed
