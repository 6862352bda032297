"""Layers added, copied, removed, moved and changed: on show, in the file, after it changes."""

from __future__ import annotations

from pathlib import Path

import pytest
from layer_desk import ADDED, CHASE, STEADY, TEXT, TWINKLE, Desk, put

from layouts.files.write import digest
from layouts.files.writeback import write_text
from sim.app.state import actions as act
from sim.app.state.history import dropped
from sim.app.state.layer_actions import AddLayer, CopyLayer, MoveLayer, RemoveLayer
from sim.app.state.questions import USE, unsaved
from sim.app.state.record import State
from sim.app.work.file_steps import take_back
from sim.app.work.kept import as_json, from_json
from sim.app.work.saving import write


@pytest.fixture
def desk(house_file: Path) -> Desk:
    return Desk(house_file)


def many(desk: Desk) -> None:
    """Every kind of edit, one on the other."""
    desk.do(MoveLayer(0, 2), CopyLayer(1), RemoveLayer(0), AddLayer(),
            act.Set("0.zones", "door backward, eave"), act.Set("0.blend", "multiply"),
            act.Set("0.from", 2.5), act.Set("0.until", 9.0), act.Set("0.ease", 1.0),
            act.Set("1.opacity", 0.25), act.Set("2.effect", "picket"),
            act.Set("2.direction", "inward"), act.Set("3.palette", "hollybush"))  # fmt: skip


def test_move_copy_add_and_remove(desk: Desk) -> None:
    desk.do(MoveLayer(0, 1))
    assert desk.list() == [STEADY, CHASE, TWINKLE]
    desk.do(CopyLayer(1))
    assert desk.list() == [STEADY, CHASE, CHASE, TWINKLE]
    desk.do(RemoveLayer(0), AddLayer())
    assert desk.list() == [CHASE, CHASE, TWINKLE, ADDED]
    assert desk.state.changed
    desk.do(act.Set("1.speed", 2.0))  # of the copy alone
    assert [layer.settings.get("speed") for layer in desk.shown.layers[:2]] == [0.5, 2.0]


def test_moved_back_is_no_change(desk: Desk) -> None:
    desk.do(MoveLayer(0, 2), MoveLayer(2, -2))
    assert not desk.state.changed
    assert desk.state.facts.filed is None


def test_the_last_layer_cannot_be_removed(desk: Desk) -> None:
    desk.do(RemoveLayer(0), RemoveLayer(0), RemoveLayer(0))
    assert desk.list() == [TWINKLE]
    assert desk.state.message.text == "A scheme has at least one layer"


def test_what_is_hidden_or_alone_stays_with_its_layer(desk: Desk) -> None:
    desk.do(act.Set("0.hide", True), act.Set("2.only", True), MoveLayer(2, -2))
    facts = desk.state.facts
    assert facts.marks.index(desk.state.only) == 0
    assert [facts.marks.index(mark) for mark in desk.state.hidden] == [1]
    desk.do(act.Set("0.only", False))
    assert desk.list() == [TWINKLE, STEADY]


def test_another_effect_keeps_what_it_knows(desk: Desk) -> None:
    desk.do(act.Set("0.speed", 0.75), act.Set("0.effect", "picket"))
    layer = desk.shown.layers[0]
    assert layer.effect == "picket"
    from effects import effects

    usual = effects()["picket"].settle({})
    both = {"speed", "soft"} & set(usual)
    assert {name: layer.settings[name] for name in usual if name not in both} == {
        name: usual[name] for name in usual if name not in both
    }
    desk.do(act.Set("0.effect", "chase"))  # what is the file's again is as it was
    assert desk.shown.layers[0].settings["speed"] == 0.75
    assert desk.shown.layers[0].settings["soft"] == 0.2


def test_every_edit_is_a_step_back_and_on(desk: Desk) -> None:
    seen = [desk.list()]
    values = [desk.shown]
    for action in (MoveLayer(0, 2), CopyLayer(1), act.Set("1.effect", "swell"), RemoveLayer(1),
                   AddLayer(), act.Set("3.zones", "door"), act.Set("0.opacity", 0.3)):  # fmt: skip
        desk.do(action)
        seen.append(desk.list())
        values.append(desk.shown)
    for expected, scheme in zip(reversed(seen[:-1]), reversed(values[:-1]), strict=True):
        desk.do(act.Undo())
        assert desk.list() == expected
        assert desk.shown == scheme
    assert not desk.state.changed
    for expected, scheme in zip(seen[1:], values[1:], strict=True):
        desk.do(act.Redo())
        assert desk.list() == expected
        assert desk.shown == scheme


def test_written_and_read_again_it_is_the_same(desk: Desk) -> None:
    many(desk)
    before = desk.shown
    write(desk.state, desk.house)
    text = desk.path.read_text()
    assert text.startswith("# Invented for a test.\nformat: evenfall-scheme/1\nname: Winter\n")
    assert "# on top" in text  # the remark of a layer that only moved
    assert desk.scheme().layers == before.layers
    desk.read()
    assert not desk.state.changed
    assert not desk.state.aside
    assert desk.shown.layers == before.layers


def test_a_writing_touches_only_what_it_names(desk: Desk) -> None:
    desk.do(MoveLayer(2, -1))
    write(desk.state, desk.house)
    lines = TEXT.splitlines(keepends=True)
    assert desk.path.read_text() == "".join([*lines[:9], lines[10], lines[9]])


def test_all_layers_may_give_way_to_one_new(desk: Desk) -> None:
    desk.do(AddLayer(), RemoveLayer(0), RemoveLayer(0), RemoveLayer(0))
    write(desk.state, desk.house)
    desk.read()
    assert desk.list() == [ADDED]
    assert not desk.state.changed


def test_steps_lead_back_over_a_writing(desk: Desk) -> None:
    first = desk.shown
    many(desk)
    last = desk.shown
    put(desk, lambda: write(desk.state, desk.house))
    desk.read()
    steps = len(desk.state.history.done)
    take_back(desk.state.history.done[-1].wrote)
    desk.do(act.Undo())
    desk.do(act.Say("something in between"))
    desk.read()
    assert desk.path.read_text() == TEXT
    assert desk.shown.layers == last.layers
    for _ in range(steps - 1):
        desk.do(act.Undo())
    assert desk.shown.layers == first.layers
    assert not desk.state.changed


def test_steps_before_a_writing_are_known_after_it(desk: Desk) -> None:
    """The file was changed by another program after it was written: its writing cannot be undone,
    what was done before can."""
    desk.do(RemoveLayer(1))
    put(desk, lambda: write(desk.state, desk.house))
    desk.read()
    desk.state = dropped(desk.state, "back")
    desk.do(act.Undo())
    assert desk.list() == [CHASE, STEADY, TWINKLE]
    assert desk.state.changed


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
