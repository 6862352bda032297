"""Breaking and mending for a trial, as pure functions of the state."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from layouts import House, load_house
from layouts.fault_lines import faults_text
from layouts.faults import Fault, faults_from_text
from sim.app.state import actions as act
from sim.app.state.chips import chip_words
from sim.app.state.choosing_keys import action_of_key
from sim.app.state.keys import Press
from sim.app.state.mending import read_typed, sheet_of
from sim.app.state.mending_offers import fits, groups_of
from sim.app.state.mending_record import (
    BeginTyped,
    BreakIt,
    CloseSheet,
    HouseThere,
    MendAll,
    MendingTrial,
    MendIt,
    MoveOnSheet,
    OpenSheet,
    TakeTyped,
    TypeOnSheet,
)
from sim.app.state.mending_sheet import cells_of, lines_of
from sim.app.state.record import State
from sim.app.state.touch import things_of
from sim.app.state.touch_buttons import buttons_of
from sim.app.state.touch_record import OpenThing
from sim.app.state.update import update
from sim.circuit import build
from sim.report.cautions import MENDING, WIRING
from sim.upkeep.faults_circuit import circuit_with

DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture
def house(house_file: Path) -> House:
    return load_house(house_file)


@pytest.fixture
def at_house(state: State, house: House) -> State:
    return update(update(state, things_of(house)), HouseThere(house))


def done(state: State, *actions: act.Action) -> State:
    for action in actions:
        state = update(state, action)
    return state


@pytest.mark.parametrize("name", ["cottage", "townhouse"])
def test_nothing_is_offered_that_the_model_or_the_file_refuses(name: str) -> None:
    house = load_house(DEMO / name / "house.yaml")
    net = build(house)
    found = []
    for thing in things_of(house).things:
        if thing.form != "run":
            found += groups_of(house, thing, None, MendingTrial())
            continue
        run = house.runs[thing.index]
        for at in (0, 1, *run.cuts[:1], run.count - 1):
            found += groups_of(house, thing, run.first + at, MendingTrial())
    faults = tuple(offer.fault for group in found for offer in group.offers)
    assert {fault.kind for fault in faults} == {
        *("dark", "dead", "stuck", "open", "joint", "short", "blown", "off", "sag", "hiccup"),
        "garbage",
    }
    assert faults_from_text(faults_text(faults, house), "a.yaml", house) == faults
    assert all(fits(fault, house) for fault in faults)
    for fault in faults:
        circuit_with(net, [fault])  # refuses a place that has no conductor


def test_break_and_mend_are_steps(at_house: State) -> None:
    dark, off = Fault("dark", "eave", 3), Fault("off", supply="box")
    both = done(at_house, BreakIt(dark), BreakIt(off))
    assert both.mending.faults == (dark, off)
    assert not both.changed  # nothing that could be written to a file
    assert [step.label for step in both.history.done[-2:]] == [
        "break: pixel 3 of eave gives no light and passes data on",
        "break: supply box gives nothing",
    ]
    assert done(both, BreakIt(dark)).mending.faults == (off,)
    assert done(both, MendIt(off)).mending.faults == (dark,)
    bare = done(both, MendAll())
    assert bare.mending.faults == ()
    assert done(bare, act.Undo()).mending.faults == (dark, off)
    assert done(bare, act.Undo(), act.Undo()).mending.faults == (dark,)
    assert done(bare, act.Undo(), act.Undo(), act.Redo()).mending.faults == (dark, off)


def test_the_same_place_breaks_in_one_degree(at_house: State) -> None:
    state = done(at_house, BreakIt(Fault("joint", "eave", 4, ohm=0.5)),
                 BreakIt(Fault("joint", "eave", 4, ohm=2.0)))  # fmt: skip
    assert [fault.ohm for fault in state.mending.faults] == [2.0]


def test_the_mark_on_the_picture_leads_to_the_list(at_house: State) -> None:
    state = done(at_house, BreakIt(Fault("dead", "eave", 3)))
    chip = next(one for one in chip_words(state) if "broken" in one.text)
    assert (chip.action, chip.cross) == (OpenSheet("broken"), MendAll())
    opened = update(state, chip.action)
    assert sheet_of(opened) == "broken"
    assert any(cell.text == "pixel 3 of eave is dead" for cell in cells_of(opened))
    assert sheet_of(update(opened, act.Back())) is None


def test_a_card_leads_to_what_can_break_there(at_house: State) -> None:
    for thing in at_house.touch.things:
        state = update(at_house, OpenThing(thing))
        actions = dict(buttons_of(state, thing.form, thing))
        opened = update(state, actions["Break"])
        assert sheet_of(opened) == "break"
        faults = [c.action.fault for c in cells_of(opened) if isinstance(c.action, BreakIt)]
        assert faults
        told = [line.text for line in lines_of(opened)]
        assert {*MENDING[1:], *WIRING} <= set(told)  # the first stands at the foot
        assert opened.drawer
        assert not update(opened, CloseSheet()).drawer  # as it was


def test_ohms_are_typed(at_house: State) -> None:
    thing = at_house.touch.things[0]
    state = done(at_house, OpenThing(thing, 5), OpenSheet("break"), BeginTyped("joint"))
    assert action_of_key(state, Press("v"), "v") == TypeOnSheet("v")
    wrong = done(state, TypeOnSheet("v"), TakeTyped())
    assert wrong.mending.typing.wrong == "a number such as 0.5 Ω"
    typed = done(state, *(TypeOnSheet(one) for one in "300 mΩ"), TakeTyped())
    assert typed.mending.joint_ohm == pytest.approx(0.3)
    joints = [c.action.fault.ohm for c in cells_of(typed)
              if isinstance(c.action, BreakIt) and c.action.fault.kind == "joint"]  # fmt: skip
    assert joints == [pytest.approx(0.3)] * 3


def test_what_is_typed_is_held_to_its_bounds() -> None:
    assert read_typed("sag", "4,2 V", 5.0) == pytest.approx(4.2)
    with pytest.raises(ValueError, match="between 0 and 5 V"):
        read_typed("sag", "5.5", 5.0)
    for text in ("", "nan", "inf", "1e3", "2 W", "-"):
        with pytest.raises(ValueError, match="a number such as"):
            read_typed("joint", text)


def test_keys_alone_break_and_mend(at_house: State) -> None:
    def press(state: State, *keys: str) -> State:
        for key in keys:
            *held, name = key.split("+")
            action = action_of_key(state, Press(name, "shift" in held), "")
            state = update(state, action)
        return state

    state = press(at_house, "t", "return", "b")
    at = next(n for n, c in enumerate(cells_of(state)) if isinstance(c.action, BreakIt))
    broken = press(done(state, *[MoveOnSheet(1)] * (at + 1)), "return")
    assert len(broken.mending.faults) == 1
    assert press(broken, "x").mending.faults == ()
    assert sheet_of(press(broken, "shift+b")) == "broken"
    assert sheet_of(press(broken, "escape")) is None


def test_what_another_house_has_not_is_mended_and_told(at_house: State, house_file: Path) -> None:
    state = done(at_house, BreakIt(Fault("dark", "door", 3)), BreakIt(Fault("off", supply="box")))
    text = house_file.read_text().replace("[eave, door]", "[eave]")
    lines = text.splitlines()
    first, last = lines.index("  - name: door"), lines.index("zones:")
    kept = [line for line in [*lines[:first], *lines[last:]] if "door.start" not in line]
    house_file.write_text("\n".join(kept))
    other = load_house(house_file)
    after = update(state, HouseThere(other))
    assert after.mending.faults == (Fault("off", supply="box"),)
    assert "1 of 2" in after.message.text


def test_nothing_is_broken_while_the_house_is_drawn(at_house: State) -> None:
    from sim.app.state.mending import broken_now

    state = done(at_house, BreakIt(Fault("dark", "eave", 3)))
    assert broken_now(state)
    assert not broken_now(replace(state, board=object()))  # type: ignore[arg-type]
