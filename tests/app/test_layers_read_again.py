"""Layers of the window and of a file that is written, taken back, and read again."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from types import MappingProxyType

import pytest
from layer_desk import ADDED, CHASE, STEADY, TEXT, TWINKLE, Desk, put

from layouts import EvenfallError
from layouts.files.writeback import Conflict
from sim.app.state import actions as act
from sim.app.state.history import dropped, next_step, passed, undone
from sim.app.state.history_record import HistoryStep, ValueStep
from sim.app.state.layer_actions import AddLayer, CopyLayer, MoveLayer, RemoveLayer
from sim.app.state.questions import unsaved
from sim.app.state.record import State
from sim.app.state.update import update
from sim.app.work.file_steps import take_back
from sim.app.work.kept import as_json, from_json
from sim.app.work.saving import write


@pytest.fixture
def desk(house_file: Path) -> Desk:
    return Desk(house_file)


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


def test_a_copy_written_and_taken_back_stands_beside_what_it_is_like(desk: Desk) -> None:
    desk.do(CopyLayer(2), MoveLayer(3, -1))
    put(desk, lambda: write(desk.state, desk.house))
    desk.read()  # the copy counts as the first of two alike now
    take_back(desk.state.history.done[-1].wrote)
    desk.do(act.Undo())
    desk.read()
    assert desk.path.read_text() == TEXT
    assert desk.list() == [CHASE, STEADY, TWINKLE, TWINKLE]
    assert len(set(desk.state.facts.marks)) == 4
    desk.do(act.Set("2.opacity", 0.25))
    assert [layer.opacity for layer in desk.shown.layers] == [1, 0.5, 0.25, 1]
    for _ in range(3):
        desk.do(act.Undo())
    assert desk.list() == [CHASE, STEADY, TWINKLE]
    assert not desk.state.changed


def test_a_layer_given_back_to_the_window_is_kept_before_the_file_is_read(desk: Desk) -> None:
    """The writing of a new layer is taken back, and the window ends before it reads that."""
    desk.do(AddLayer(), act.Set("brightness", 0.3))
    put(desk, lambda: write(desk.state, desk.house))
    desk.read()
    take_back(desk.state.history.done[-1].wrote)
    desk.state = undone(desk.state)
    again = Desk.__new__(Desk)
    again.house, again.path, again.state = desk.house, desk.path, left_by(desk)
    assert [line.partition(":")[0] for line in again.state.question.lines] == [
        "brightness",
        "layers",
    ]
    again.do(act.Answer("use"))
    assert again.list() == [CHASE, STEADY, TWINKLE, ADDED]


def test_what_was_written_is_no_order_left_before_it_is_read(desk: Desk) -> None:
    """Of the file's own order nothing is kept, whether it was written or given back."""
    desk.do(MoveLayer(0, 2))
    put(desk, lambda: write(desk.state, desk.house))
    assert unsaved(desk.state) is None
    desk.read()
    desk.do(act.Set("brightness", 0.3))
    put(desk, lambda: write(desk.state, desk.house))
    take_back(desk.state.history.done[-1].wrote)
    desk.state = undone(desk.state)
    left = unsaved(desk.state)
    assert left is not None
    assert (left.order, [name for name, _ in left.whole]) == ((), ["brightness"])


def test_two_alike_that_changed_places_are_not_unwritten(desk: Desk) -> None:
    desk.do(CopyLayer(1))
    put(desk, lambda: write(desk.state, desk.house))
    desk.read()
    steps = len(desk.state.history.done)
    desk.do(MoveLayer(1, 1))
    assert not desk.state.changed
    assert unsaved(desk.state) is None
    assert len(desk.state.history.done) == steps  # nothing changed: there is nothing to take back
    desk.do(MoveLayer(0, 1))
    assert desk.state.changed
    desk.do(act.Undo(), CopyLayer(3), RemoveLayer(3))  # the copy is left in the other's place
    assert not desk.state.changed
    desk.do(act.Undo(), act.Undo())
    assert desk.list() == [CHASE, STEADY, STEADY, TWINKLE]


def test_what_is_unwritten_is_the_same_after_a_word(desk: Desk) -> None:
    """Commands that reach the disk set the state and then say so; what they set has not been
    through an action yet, and nothing may be lost or come by the word alone."""
    desk.do(CopyLayer(1))
    put(desk, lambda: write(desk.state, desk.house))
    desk.read()
    first, *alike, last = desk.state.facts.file_marks
    for order in ((first, *alike[::-1], last), (first, *alike, last), (last, *alike, first), None):
        for edits in ({}, {(alike[0], "opacity"): 0.25}):
            left = replace(desk.state, order=order, edits=MappingProxyType(edits))
            assert unsaved(left) == unsaved(update(left, act.Say("written")))


def test_two_alike_of_which_one_has_a_value_are_unwritten(desk: Desk) -> None:
    desk.do(CopyLayer(1))
    put(desk, lambda: write(desk.state, desk.house))
    desk.read()
    desk.do(act.Set("1.opacity", 0.25), MoveLayer(1, 1))
    assert [layer.opacity for layer in desk.shown.layers] == [1, 0.5, 0.25, 1]
    write(desk.state, desk.house)
    desk.read()
    assert [layer.opacity for layer in desk.shown.layers] == [1, 0.5, 0.25, 1]
    assert not desk.state.changed
