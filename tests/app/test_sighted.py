"""Sightings marked on the house, as pure functions of the state."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from layouts import House, load_house
from sim.app.state import actions as act
from sim.app.state.mending import sheet_of
from sim.app.state.mending_record import HouseThere, OpenSheet, TakeTyped, TypeOnSheet
from sim.app.state.mending_sheet import lines_of
from sim.app.state.record import State
from sim.app.state.sighted import outcome_lines, seen_words
from sim.app.state.sighted_record import (
    AddSeen,
    Diagnosed,
    DropSeen,
    HoldSeen,
    LetGoSeen,
    PickDuring,
    PickTool,
    PointVolts,
    SeenLine,
    TurnOnwards,
)
from sim.app.state.update import update
from sim.app.view.mending_marks import corners
from sim.app.work.diagnoser import told_as_file
from sim.upkeep.diagnosis.records import NextTest, Outcome


@pytest.fixture
def house(house_file: Path) -> House:
    return load_house(house_file)


@pytest.fixture
def looking(state: State, house: House) -> State:
    return done(state, HouseThere(house), OpenSheet("seen"))


def done(state: State, *actions: act.Action) -> State:
    for action in actions:
        state = update(state, action)
    return state


def test_a_click_marks_a_pixel_and_again_takes_it_back(looking: State) -> None:
    click = (HoldSeen(0, 7), LetGoSeen())
    once = done(looking, *click)
    assert once.sighted.seen == (SeenLine("dark", "eave[7]"),)
    assert done(once, *click).sighted.seen == ()
    assert done(once, act.Undo()).sighted.seen == ()
    assert done(once, act.Undo(), act.Redo()).sighted.seen == once.sighted.seen


def test_a_drag_marks_a_stretch_either_way(looking: State) -> None:
    drawn = done(looking, PickTool("wrong"), HoldSeen(1, 55), HoldSeen(1, 50), HoldSeen(1, 44))
    assert drawn.drag == "seen"
    marked = update(drawn, LetGoSeen())
    assert marked.drag is None
    assert marked.sighted.seen == (SeenLine("wrong", "door[4:16]"),)
    whole = done(looking, HoldSeen(1, 40), HoldSeen(1, 59), LetGoSeen())
    assert whole.sighted.seen == (SeenLine("dark", "door"),)


def test_from_here_on_is_all_behind_on_its_data_line(looking: State, house: House) -> None:
    state = done(looking, TurnOnwards(), HoldSeen(0, 30), LetGoSeen())
    (line,) = state.sighted.seen
    assert line.entry == {"dark": "eave[30]", "onwards": True}
    (seen,) = told_as_file((line,), house)
    assert seen.pixels.tolist() == list(range(30, 60))  # the door follows on the same output


def test_another_look_of_the_same_place_takes_its_place(looking: State) -> None:
    state = done(looking, HoldSeen(0, 7), LetGoSeen(), PickTool("lit"), HoldSeen(0, 7), LetGoSeen())
    assert state.sighted.seen == (SeenLine("lit", "eave[7]"),)
    white = done(state, PickDuring("white"), HoldSeen(0, 7), LetGoSeen())
    assert len(white.sighted.seen) == 2  # while something else is shown


def test_volts_are_typed_where_the_meter_is_held(looking: State) -> None:
    held = done(looking, PickTool("volts"), HoldSeen(0, 7), LetGoSeen())
    assert held.sighted.point == "eave[7]"
    typed = done(held, *(TypeOnSheet(one) for one in "4.31"), TakeTyped())
    assert typed.sighted.seen == (SeenLine("volts", value=4.31, at="eave[7]"),)
    assert seen_words(typed.sighted.seen[0]) == "eave[7]: 4.31 V"
    assert done(looking, PointVolts("box")).sighted.point == "box"


def test_outcomes_of_a_test_are_sightings(house: House) -> None:
    def lines(test: str, at: str, result: str) -> tuple[SeenLine, ...]:
        asked = NextTest(test, at, "white", 1.0, 1.0, (Outcome(result, 1.0),))
        found = outcome_lines(asked, result)
        told_as_file(found, house)  # each is what a sightings file takes
        return found

    assert lines("look", "eave", "all lit") == (SeenLine("lit", "eave", during="white"),)
    assert lines("look", "all", "eave[7:40] dark; door flickers; …") == (
        SeenLine("dark", "eave[7:40]", during="white"),
        SeenLine("flickers", "door", during="white"),
    )
    assert lines("volts", "eave[7]", "4.20 V to 4.40 V")[0].value == pytest.approx(4.3)
    assert lines("watts", "wall", "12.5 W")[0].entry == {
        "watts": 12.5, "at": "wall", "during": "white"
    }  # fmt: skip
    assert lines("fuse", house.wires[0].label, "blown")[0].then == "blown"
    assert lines("swap", "A", "dark")[0].then == "dark"
    assert lines("bridge", "eave[7]", "lit")[0].then == "lit"


def test_what_comes_too_late_is_dropped(looking: State, house: House) -> None:
    line = SeenLine("dark", "eave")
    state = done(looking, AddSeen((line,)))
    late = update(state, Diagnosed(house, (), None, "late"))
    assert late.sighted.wrong == ""
    told = update(state, Diagnosed(house, (line,), None, "it cannot be"))
    assert any(each.text == "it cannot be" for each in lines_of(told))
    assert done(told, DropSeen(line)).sighted.seen == ()
    assert sheet_of(told) == "seen"


def test_corners_of_a_line_stay() -> None:
    up = np.stack([np.arange(50.0), np.arange(50.0)], axis=1)
    down = np.stack([np.arange(50.0, 100.0), np.arange(48.0, -2.0, -1.0)], axis=1)
    found = corners(np.concatenate([up, down]))
    assert found.tolist() == [[0, 0], [49, 49], [99, -1]]
