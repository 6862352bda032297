"""The picture of a diagnosis, and causes as a faults file has them."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from layouts import House, load_house
from layouts.fault_lines import fault_entry
from layouts.faults import Fault, faults_from_text
from layouts.sightings import sightings_from_text
from sim.report.diagnosis_picture import diagnosis_picture
from sim.report.theme import fitted, typeface, wrapped
from sim.upkeep.diagnosis.causes import Breakage
from sim.upkeep.diagnosis.records import Diagnosis, Suspect

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture(scope="module")
def house() -> House:
    return load_house(DEMO / "cottage/house.yaml")


def _found(house: House, *lines: str) -> Diagnosis:
    text = "format: evenfall-sightings/1\nseen:\n" + "".join(f"  - {line}\n" for line in lines)
    seen = sightings_from_text(text, "s.yaml", house).seen
    cause = Breakage("dead", (Fault("dead", "gable", 0),), 1.0)
    sure = Suspect((cause,), 0.97, tuple(range(len(seen))), ())
    other = Suspect((Breakage("off", (Fault("off", supply="loft"),), 1.0),), 0.03, (), ())
    return Diagnosis(seen, (sure, other), 0.0, None, "sure", 0.2)


def test_what_was_seen_stands_on_the_house(house: House) -> None:
    bare = np.asarray(diagnosis_picture(_found(house, "{lit: porch}"), house, (640, 360)))
    dark = np.asarray(
        diagnosis_picture(_found(house, "{lit: porch}", "{dark: gable}"), house, (640, 360))
    )
    assert bare.shape == (360, 640, 3)
    moved = (bare != dark).any(axis=-1)
    # The gable's two slopes and the legend below; nothing of the column at the right.
    assert 200 < moved[:320, :450].sum() < 6000
    assert not moved[:320, 460:].any()


def test_readings_stand_at_their_place(house: House) -> None:
    without = np.asarray(diagnosis_picture(_found(house, "{dark: gable}"), house, (640, 360)))
    told = ("{dark: gable}", "{volts: 4.97, at: 'gable[0]'}", "{watts: 50, at: wall}")
    tagged = np.asarray(diagnosis_picture(_found(house, *told), house, (640, 360)))
    y, x = np.nonzero((without != tagged).any(axis=-1)[:320, :450])
    assert len(x)
    assert np.ptp(x) < 120
    assert np.ptp(y) < 60


def test_a_wire_is_named_without_the_arrow_that_the_type_lacks() -> None:
    font = typeface(12)
    lacking = bytes(font.getmask("\uffff"))
    assert bytes(font.getmask("→")) == lacking
    assert wrapped("a bad joint, wire loft → gable[20]", font, 900) == [
        "a bad joint, wire loft to gable[20]"
    ]
    assert fitted("wire loft → gable[20]", font, 900) == "wire loft to gable[20]"


@pytest.mark.parametrize(
    "fault",
    [
        Fault("dead", "gable", 0),
        Fault("stuck", "gable", 3, colour=(1, 2, 255)),
        Fault("open", "gable", 40, "minus"),
        Fault("open", wire=1, conductor="plus"),
        Fault("joint", "porch", 30, ohm=0.3),
        Fault("short", wire=2, ohm=0.05),
        Fault("blown", wire=0),
        Fault("sag", supply="loft", volts=4.2),
    ],
)
def test_a_cause_as_written_is_read_as_it_was(house: House, fault: Fault) -> None:
    entry = ", ".join(f"{key}: {value!r}" for key, value in fault_entry(fault, house).items())
    text = f"format: evenfall-faults/1\nfaults:\n  - {{{entry}}}\n"
    assert faults_from_text(text, "f.yaml", house) == (fault,)
