"""Many single faults side by side are the same as each by itself."""

from pathlib import Path

import numpy as np
import pytest

from effects import bind, load_scheme
from layouts import load_house
from layouts.faults import Fault
from sim.frame import on_wire, rig_for
from sim.upkeep import broken, each_alone, frame_of_broken

COTTAGE = Path(__file__).resolve().parents[2] / "demo" / "cottage"


@pytest.fixture(scope="module")
def shown():
    house = load_house(COTTAGE / "house.yaml")
    scheme = load_scheme(COTTAGE / "christmas.scheme.yaml", house)
    rig = rig_for(house, scheme)
    return rig, on_wire(rig, bind(house, scheme), np.array([0.5, 4.0]))


def test_side_by_side_is_as_alone(shown) -> None:
    rig, codes = shown
    faults = [
        Fault("dark", "gable", 3),
        Fault("open", "gable", 150, "plus"),
        Fault("open", "gable", 40, "data"),
        Fault("stuck", "porch", 3, colour=(255, 0, 0)),
        Fault("hiccup", supply="loft", on_s=0.1, pause_s=0.9),
        Fault("garbage", "eave-left", 100),
        Fault("dead", "porch", 80),
        *(Fault("open", "eave-left", k, "data") for k in range(1, 340, 3)),
        Fault("short", "gable", 150, ohm=0.02),
    ]
    found = list(each_alone(rig, faults, codes, seed=3))
    assert [frame.broken.faults for frame in found] == [(fault,) for fault in faults]
    for fault, frame in zip(faults, found, strict=True):
        alone = frame_of_broken(broken(rig, [fault], seed=3), codes)
        assert (frame.received == alone.received).all()
        assert (frame.alive == alone.alive).all()
        assert np.abs(frame.solution.volts - alone.solution.volts).max() < 1e-9
        assert np.abs(frame.light - alone.light).max() < 1e-9
        assert (frame.opened, frame.tripped) == (alone.opened, alone.tripped)


def test_the_demo_after_the_storm(shown) -> None:
    """The gable and what follows it hear nothing; mended, only the gap stays dark."""
    from layouts import change
    from layouts.faults import load_faults

    rig, codes = shown
    house = rig.house
    faults = load_faults(COTTAGE / "after-the-storm.faults.yaml", house)
    frame = frame_of_broken(broken(rig, faults), codes)
    behind = np.isin(house.pixels.run, [1, 2])
    assert [run.name for run in house.runs[1:3]] == ["gable", "eave-right"]
    assert frame.light[:, behind].max() == 0
    assert (frame.light[:, ~behind & ~house.pixels.spare].max(axis=(0, 2)) > 0).all()
    mended = change(house, runs={"gable": {"missing": [0]}})
    scheme = load_scheme(COTTAGE / "christmas.scheme.yaml", mended)
    again = rig_for(mended, scheme)
    sent = on_wire(again, bind(mended, scheme), np.array([0.5, 4.0]))
    gap = house.run("gable").first
    there = np.arange(len(house.pixels)) != gap
    assert (sent[:, there] == codes[:, there]).all()
    light = frame_of_broken(broken(again, []), sent).light
    assert light[:, gap].max() == 0
    assert (light[:, there & behind].max(axis=(0, 2)) > 0).all()
