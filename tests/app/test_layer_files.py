"""Layers of the window where their file changes too: by another program, or by its own writing."""

from __future__ import annotations

from dataclasses import replace

import pytest
from layer_desk import ADDED, CHASE, STEADY, TEXT, TWINKLE, Desk, many, put

from layouts import EvenfallError
from layouts.files.write import digest
from layouts.files.writeback import Conflict, write_text
from sim.app.state import actions as act
from sim.app.state.history import dropped, next_step, passed
from sim.app.state.history_record import HistoryStep, ValueStep
from sim.app.state.layer_actions import AddLayer, CopyLayer, MoveLayer, RemoveLayer
from sim.app.state.questions import USE, unsaved
from sim.app.state.record import State
from sim.app.state.update import update
from sim.app.work.kept import as_json, from_json
from sim.app.work.saving import write


def other_program(desk: Desk, old: str, new: str) -> None:
    text = desk.path.read_text()
    assert old in text
    write_text(desk.path, text.replace(old, new), expected=digest(desk.path.read_bytes()))
    desk.read()


def test_a_layer_that_comes_in_the_file_meanwhile_is_there_too(desk: Desk) -> None:
    desk.do(MoveLayer(0, 2), AddLayer())
    other_program(desk, "  # The eave runs.\n",
                  '  - {zones: door, effect: swell, palette: ["#ff0000"]}\n')  # fmt: skip
    assert desk.list() == [("swell", ("door",)), STEADY, TWINKLE, CHASE, ADDED]
    assert "changed since" in desk.state.message.text
    write(desk.state, desk.house)
    desk.read()
    assert desk.list() == [("swell", ("door",)), STEADY, TWINKLE, CHASE, ADDED]
    assert not desk.state.changed


def test_a_value_that_changes_in_the_file_meanwhile_is_taken(desk: Desk) -> None:
    desk.do(MoveLayer(0, 2), act.Set("2.effect", "picket"))
    other_program(desk, "opacity: 0.5", "opacity: 0.75")
    assert desk.list() == [STEADY, TWINKLE, ("picket", ("both",))]
    assert desk.shown.layers[0].opacity == 0.75
    assert desk.state.question is None


def test_where_both_changed_a_value_it_is_asked(desk: Desk) -> None:
    desk.do(MoveLayer(1, 1), act.Set("2.blend", "add"))
    other_program(desk, "opacity: 0.5", "opacity: 0.5, blend: multiply")
    assert desk.state.question is not None
    told = " ".join(desk.state.question.lines)
    assert "the file says multiply" in told
    assert "this window add" in told


def test_a_layer_that_goes_from_the_file_is_gone(desk: Desk) -> None:
    desk.do(MoveLayer(2, -2))
    other_program(desk, TEXT.splitlines(keepends=True)[9], "")
    assert desk.list() == [TWINKLE, CHASE]


def test_undo_leaves_what_came_meanwhile(desk: Desk) -> None:
    desk.do(RemoveLayer(1))
    other_program(desk, "  # The eave runs.\n",
                  '  - {zones: door, effect: swell, palette: ["#ff0000"]}\n')  # fmt: skip
    desk.do(act.Undo())
    assert desk.list() == [("swell", ("door",)), CHASE, STEADY, TWINKLE]
    assert not desk.state.changed


def test_what_is_left_unwritten_comes_back_after_a_kill(desk: Desk) -> None:
    many(desk)
    before = desk.shown
    left = from_json(as_json(unsaved(desk.state)))
    assert left is not None
    again = Desk.__new__(Desk)
    again.house, again.path = desk.house, desk.path
    again.state = State(desk.state.house_path, str(desk.path))
    again.read()
    again.do(act.FoundUnsaved(left))
    assert any("added" in line for line in again.state.question.lines)
    again.do(act.Answer(USE))
    assert again.shown == before
    assert not again.state.aside


def test_back_to_the_file_is_one_step(desk: Desk) -> None:
    many(desk)
    before = desk.shown
    desk.do(act.Revert())
    assert desk.list() == [CHASE, STEADY, TWINKLE]
    assert not desk.state.changed
    desk.do(act.Undo())
    assert desk.shown == before


def left_by(desk: Desk) -> State:
    """A state of the next window, which has read the file and been told what was left."""
    left = from_json(as_json(unsaved(desk.state)))
    assert left is not None
    state = update(State(desk.state.house_path, str(desk.path)), desk.loaded())
    return update(state, act.FoundUnsaved(left))


def test_what_was_left_is_unwritten_no_more_once_the_file_holds_it(desk: Desk) -> None:
    desk.do(MoveLayer(0, 2), act.Set("brightness", 0.3))
    again = Desk.__new__(Desk)
    again.house, again.path, again.state = desk.house, desk.path, left_by(desk)
    assert len(again.state.question.lines) == 2
    again.do(act.Set("brightness", 0.3))
    write(again.state, again.house)
    again.read()
    assert [name for name, _ in unsaved(again.state).whole] == []
    assert len(again.state.question.lines) == 1  # the order waits still
    again.do(MoveLayer(0, 2))
    write(again.state, again.house)
    again.read()
    assert unsaved(again.state) is None
    assert again.state.question is None


def test_a_step_that_changes_nothing_hides_no_writing(desk: Desk) -> None:
    """Before a writing is taken back its file must be: the state alone must not step over it."""
    desk.do(act.Set("brightness", 0.3))
    put(desk, lambda: write(desk.state, desk.house))
    desk.read()
    steps = desk.state.history
    nothing = HistoryStep(
        "back to 30 %", scheme=str(desk.path),
        values=(ValueStep((None, "brightness"), before=0.3, after=0.3),),
    )  # fmt: skip
    desk.state = replace(desk.state, history=replace(steps, done=(*steps.done, nothing)))
    at = passed(desk.state, "back")
    assert next_step(at, "back") == steps.done[-1]
    assert at.history.undone == (nothing,)
    assert not at.history.listed
    assert not at.changed


def test_changed_between_a_writing_and_its_reading_nothing_is_there_twice(desk: Desk) -> None:
    desk.do(RemoveLayer(1), AddLayer())
    put(desk, lambda: write(desk.state, desk.house))
    written = desk.path.read_text()
    with pytest.raises(EvenfallError, match="once more in a moment"):
        write(desk.state, desk.house)  # the same layer would be removed by its number again
    assert desk.path.read_text() == written
    desk.do(CopyLayer(2))
    desk.read()
    assert desk.list() == [CHASE, TWINKLE, ADDED, ADDED]
    write(desk.state, desk.house)
    desk.read()
    assert desk.list() == [CHASE, TWINKLE, ADDED, ADDED]
    assert not desk.state.changed


def test_a_layer_that_is_gone_is_not_taken_for_one_like_it(desk: Desk) -> None:
    desk.do(CopyLayer(1))
    put(desk, lambda: write(desk.state, desk.house))
    desk.read()
    desk.do(act.Set("1.zones", "eave"), act.Undo(), RemoveLayer(1))
    put(desk, lambda: write(desk.state, desk.house))
    desk.read()  # what is left of the two alike counts as the first now
    assert desk.list() == [CHASE, STEADY, TWINKLE]
    desk.state = dropped(desk.state, "back")
    desk.do(act.Undo())
    assert desk.list() == [CHASE, STEADY, STEADY, TWINKLE]
    assert len(set(desk.state.facts.marks)) == 4
    write(desk.state, desk.house)
    desk.read()
    assert desk.list() == [CHASE, STEADY, STEADY, TWINKLE]


def test_a_file_cut_off_since_is_a_conflict_and_no_fault(desk: Desk) -> None:
    desk.do(MoveLayer(0, 1))
    desk.path.write_text(TEXT[: TEXT.index("  # The eave")])
    with pytest.raises(Conflict):
        write(desk.state, desk.house)
