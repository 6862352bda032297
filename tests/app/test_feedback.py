"""What the window tells back, in the state alone: folding, marks, single values, titles, chips."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import pytest

from layouts import Problem
from sim.app.state import actions as act
from sim.app.state.awaited import awaited
from sim.app.state.chips import chip_words
from sim.app.state.controls import control, controls
from sim.app.state.drawer import content_height, foot_h, mark_place, rows
from sim.app.state.folding import HEAD, listed
from sim.app.state.history import next_step
from sim.app.state.mending_record import OpenSheet
from sim.app.state.pointer import on_screen, pressed
from sim.app.state.record import SCALES, State
from sim.app.state.ribbon_actions import LoopFrom
from sim.app.state.settings import changes_of, settings
from sim.app.state.titles import title
from sim.app.state.told_aside import marks, told
from sim.app.state.touch_pointer import Touchable
from sim.app.state.update import update
from sim.app.state.window_layout import layout

PROBLEM = Problem("house.yaml", 14, 7, "unknown key 'lenght'", "did you mean 'length'?")


def after(state: State, *actions: act.Action) -> State:
    for action in actions:
        state = update(state, action)
    return state


# --- the drawer's order ---


def test_scheme_brightness_and_layers_come_first_house_and_view_are_folded(state: State) -> None:
    sections = list(dict.fromkeys(one.section for one in listed(state)))
    assert sections == ["Scheme", "1  chase · eaves", "2  steady · all", "Colour", "House", "View"]
    shown = [one.id for one in listed(state)]
    assert shown[:2] == ["scheme", "brightness"]
    assert "kind" not in shown
    assert "hour" not in shown
    assert {f"{HEAD}House", f"{HEAD}View"} <= set(shown)


def test_a_head_folds_by_mouse_and_by_keys_and_stays_so(state: State) -> None:
    opened = after(state, act.Set(f"{HEAD}House", True))
    assert "kind" in [one.id for one in listed(opened)]
    by_keys = after(replace(state, focus=f"{HEAD}House"), act.Activate())
    assert by_keys.feedback.folded == opened.feedback.folded == {"View"}
    assert not by_keys.history.done  # how one looks at the drawer is no step
    assert after(by_keys, act.Loaded(state.facts)).feedback.folded == {"View"}
    inside = after(replace(opened, focus="kind"), act.Set(f"{HEAD}House", False))
    assert inside.focus is None


def test_keys_still_reach_what_is_folded(state: State) -> None:
    assert after(state, act.Nudge(1, "hour")).hour == "dusk"
    assert after(state, act.Nudge(1, "kind")).kind == "ws2812b"


def test_a_folded_section_tells_that_something_in_it_is_changed(state: State) -> None:
    folded = after(state, act.Set("0.speed", 2.0), act.Set(f"{HEAD}1  chase · eaves", False))
    head = next(one for one in listed(folded) if one.form == "head")
    assert head.changed
    assert "0.only" in [one.id for one in listed(folded)]  # its buttons stay in the head


@pytest.mark.parametrize("scale", SCALES)
def test_write_is_in_sight_while_anything_is_unwritten(state: State, scale: float) -> None:
    opened = replace(state, drawer=True, drawer_open=1.0, scale=scale)
    assert not foot_h(rows(layout(opened), listed(opened), "Shed", 2, 60))
    changed = after(opened, act.Set("0.speed", 2.0))
    parts = layout(changed)
    found = rows(parts, listed(changed), "Shed", 2, 60, "words")
    pinned = {row.control.id: row for row in found if row.pinned and row.control}
    assert set(pinned) == {"write", "revert"}
    for row in pinned.values():
        assert row.place.y >= 0
        assert row.place.bottom <= parts.drawer.h
        assert row.place.right <= parts.drawer.w
    last = max(row.place.bottom for row in found if not row.pinned)
    assert content_height(found, parts) - foot_h(found) >= last  # all can be scrolled clear of it


def test_every_help_line_begins_with_its_subject(state: State) -> None:
    every = controls(after(state, act.ToggleCompare(), act.Set("brightness", 0.5)))
    for one in every:
        if one.help:
            subject = one.help.partition(":")[0]
            assert subject in (one.label, one.label.split()[0]), one.help


def test_one_word_for_the_comparison(state: State) -> None:
    compared = after(state, act.ToggleCompare())
    for name in ("compare", "other"):
        assert control(compared, name).label.startswith("Compare")
        assert control(compared, name).help.startswith("Compare")


# --- values that are not written ---


def _another(state: State, key: str) -> act.Set:
    one = control(state, key)
    return act.Set(key, one.stepped(-1) if one.value != one.stepped(-1) else one.stepped(1))


def test_everything_that_can_be_written_is_a_step_and_marked_and_goes_back_alone(
    state: State,
) -> None:
    keys = [row.key for row in settings(state.facts) if row.file is not None]
    assert {"brightness", "colour", "white", "0.speed", "1.palette"} <= set(keys)
    base = after(state, act.Set("0.count", 5.0), act.Tick(5.0))
    for key in keys:
        if key == "0.count":
            continue
        changed = after(base, _another(base, key))
        assert len(changed.history.done) == len(base.history.done) + 1, key
        assert control(changed, key).changed
        assert control(changed, "write").changed
        undone = after(changed, act.Undo())
        assert changes_of(undone) == changes_of(base)
        assert changes_of(after(undone, act.Redo())) == changes_of(changed)
        back = after(changed, act.RevertOne(key))
        assert changes_of(back) == changes_of(base)
        assert next_step(back, "back").label.endswith(": back to the file")
        assert changes_of(after(back, act.Undo())) == changes_of(changed)
        by_keys = after(replace(changed, focus=key), act.RevertOne())
        assert changes_of(by_keys) == changes_of(base)


def test_a_value_as_in_the_file_has_nothing_to_go_back_to(state: State) -> None:
    assert after(state, act.RevertOne("0.speed")) == state
    assert after(state, act.RevertOne("hour")) == state


@pytest.mark.parametrize("scale", SCALES)
def test_a_press_on_the_mark_takes_one_value_back(state: State, scale: float) -> None:
    opened = replace(state, drawer=True, drawer_open=1.0, scale=scale, size_px=(1920, 1080))
    changed = after(opened, act.Set("brightness", 0.3), act.Set("0.speed", 2.0))
    parts = layout(changed)
    found = rows(parts, listed(changed), "Shed", 2, 60)
    row = next(row for row in found if row.control and row.control.id == "brightness")
    place = mark_place(row, parts)
    assert min(place.w, place.h) >= 24  # WCAG 2.2, 2.5.8: target size
    at = on_screen(place, parts, changed)
    done = changed
    for action in pressed(changed, parts, found, Touchable(), at.x + at.w // 2, at.y + at.h // 2):
        done = update(done, action)
    assert done.brightness is None
    assert done.value(0, "speed") == 2.0


# --- warnings ---


def test_what_is_hidden_leaves_a_mark_that_brings_it_back(state: State) -> None:
    broken = after(state, act.Refused((PROBLEM,)))
    assert told(broken) == broken
    assert marks(broken) == ()
    hidden = after(broken, act.Back())
    assert told(hidden).problems == ()
    assert marks(hidden) == ("house.yaml: 1 problem",)
    assert told(after(hidden, act.TellAgain())).problems == (PROBLEM,)
    assert marks(after(hidden, act.Loaded(state.facts))) == ()


def test_new_words_are_told_aloud_again(state: State) -> None:
    hidden = after(state, act.Refused((PROBLEM,)), act.PutAside("problems"))
    same = after(hidden, act.Refused((PROBLEM,)))
    assert told(same).problems == ()
    other = after(hidden, act.Refused((replace(PROBLEM, line=15),)))
    assert len(told(other).problems) == 1


def test_a_question_put_off_waits_as_a_mark(state: State) -> None:
    held = replace(state, collided=frozenset({"brightness"}))
    asked = after(held, act.Set("brightness", 0.3), act.TellAgain())
    assert asked.question is not None
    off = after(asked, act.PutAside("question"))
    assert off.question is None
    assert marks(off) == ("A question waits",)
    assert after(off, act.TellAgain()).question == asked.question


# --- filters ---


def test_a_layer_shown_alone_stays_to_be_seen_and_a_click_shows_all(state: State) -> None:
    alone = after(state, act.Set("1.only", True), act.ToggleDrawer(), act.ToggleDrawer())
    (chip,) = chip_words(alone)
    assert chip.text == "Only layer 2: steady on all"
    assert chip_words(after(alone, chip.action)) == ()
    hidden = after(state, act.Set("0.hide", True))
    assert chip_words(hidden)[0].text == "Layer 1 hidden"
    assert not after(hidden, chip.action).hidden


# --- title, and what is awaited ---


def test_the_title_names_scheme_and_house_and_what_is_unwritten(state: State) -> None:
    assert title(State("house.yaml")) == "Evenfall"
    assert title(state) == "winter · Shed · Evenfall"
    changed = after(state, act.Set("brightness", 0.3))
    assert title(changed) == "winter · Shed* · Evenfall"
    focused = title(replace(changed, focus="brightness"))
    assert focused.startswith("Brightness of the scheme: 30 %, not written · winter")
    assert title(replace(state, focus=f"{HEAD}View")).startswith("View, folded · ")


def test_what_the_picture_is_not_yet_is_said(state: State) -> None:
    side = SimpleNamespace(kind=None)
    stage = SimpleNamespace(left=side, right=None, hour="late")
    assert awaited(state, stage) == ""
    other = after(state, act.Set("kind", "ws2815"))
    assert awaited(other, stage) == "Making the picture with pixels ws2815 …"
    made = SimpleNamespace(left=SimpleNamespace(kind="ws2815"), right=None, hour="late")
    assert awaited(other, made) == ""
    assert "sk6812-rgbw-warm" in awaited(after(state, act.ToggleCompare()), stage)
    assert "dusk" in awaited(after(state, act.Set("hour", "dusk")), stage)
    assert awaited(after(state, act.Set("scheme", "plain")), stage) == "Opening plain …"


# --- what Esc leaves ---


@pytest.mark.parametrize("open_", [
    {"focus": "brightness"}, {"selection": 3}, {"fault": "something failed"},
    {"drawer": True}, {"problems": (PROBLEM,)}, {},
])  # fmt: skip
def test_esc_closes_the_question_what_to_share_before_what_was_open(
    state: State, open_: dict[str, object]
) -> None:
    asked = after(replace(state, **open_), act.AskSharing())
    closed = after(asked, act.Back())
    assert closed.question is None
    assert {name: getattr(closed, name) for name in open_} == open_
    assert not closed.feedback.hushed


def test_esc_closes_it_over_a_page_a_loop_and_a_film_being_made(state: State) -> None:
    making = after(state, act.ShareNow("film"), OpenSheet("break"), LoopFrom(), act.AskSharing())
    closed = after(making, act.Back())
    assert closed.question is None
    assert closed.feedback.making is not None
    assert closed.mending.page == "break"
    assert after(closed, act.Back()).feedback.making is None
