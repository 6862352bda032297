"""Layers added, copied, removed, moved and changed: on show, in the file, after it changes."""

from __future__ import annotations

from layer_desk import ADDED, CHASE, STEADY, TEXT, TWINKLE, Desk, many, put

from sim.app.state import actions as act
from sim.app.state.history import dropped
from sim.app.state.layer_actions import AddLayer, CopyLayer, MoveLayer, RemoveLayer
from sim.app.work.file_steps import take_back
from sim.app.work.saving import write


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
