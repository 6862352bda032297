"""Faults and sightings written as files: read again, they are the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from layouts import House, load_house
from layouts.fault_lines import faults_text, sightings_text
from layouts.faults import Fault, faults_from_text
from layouts.sightings import sightings_from_text

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture(scope="module")
def cottage() -> House:
    return load_house(DEMO / "cottage/house.yaml")


def test_every_kind_of_fault_is_read_again_as_it_was(cottage: House) -> None:
    run, supply = cottage.runs[1], cottage.supplies[0]
    fused = next(w for w, wire in enumerate(cottage.wires) if wire.fuse_a is not None)
    faults = (
        Fault("dark", run.name, 3),
        Fault("dead", run.name, 0),
        Fault("stuck", run.name, 4, colour=(255, 16, 0)),
        Fault("garbage", run.name, 5),
        Fault("open", run.name, 7, "plus"),
        Fault("open", run.name, 0, "data"),
        Fault("open", conductor="minus", wire=1),
        Fault("joint", run.name, 9, ohm=0.35),
        Fault("joint", conductor="minus", wire=0, ohm=2.0),
        Fault("short", run.name, run.count - 1, ohm=0.02),
        Fault("short", wire=fused, ohm=0.1),
        Fault("blown", wire=fused),
        Fault("off", supply=supply.name),
        Fault("sag", supply=supply.name, volts=4.2),
        Fault("hiccup", supply=supply.name, on_s=0.2, pause_s=0.7),
    )
    text = faults_text(faults, cottage, "note: with a colon")
    assert faults_from_text(text, "a.yaml", cottage) == faults
    assert faults_from_text(faults_text((), cottage), "a.yaml", cottage) == ()


def test_sightings_are_read_again(cottage: House) -> None:
    entries = [{"dark": "gable"}, {"dark": "gable[3]", "onwards": True},
               {"volts": 4.97, "at": "gable[0]", "during": "white"},
               {"swap": "B", "then": "dark"}]  # fmt: skip
    seen = sightings_from_text(sightings_text(entries), "a.yaml", cottage).seen
    assert [each.what for each in seen] == ["dark", "dark", "volts", "swap"]
    assert len(seen[1].pixels) > cottage.run("gable").count - 4
    assert (seen[2].value, seen[2].during, seen[3].then) == (4.97, "white", "dark")
