"""One history: every step back and on, drags as one, small in memory, whatever files do."""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.app.edit.draft import Draft
from sim.app.state import actions as act
from sim.app.state import history as past
from sim.app.state.history_text import backwards, forwards, text_step
from sim.app.state.record import State
from sim.app.state.settings import set_control
from sim.app.state.update import update


def put(state: State, key: str, value: float | str, joins: str = "") -> State:
    return past.stepped(state, set_control(state, key, value), f"{key} {value}", joins)


def drawn(state: State, text: str | None, joins: str = "") -> State:
    draft = Draft("house.yaml", "as read", {}, text) if text is not None else None
    return past.stepped(state, replace(state, draft=draft), "draw", joins)


def edited(state: State) -> tuple[object, ...]:
    """Everything that can be written to a file."""
    return (state.brightness, state.colour, state.white, dict(state.edits), state.aside,
            state.proposal, state.draft and state.draft.text)  # fmt: skip


def times(count: int, what: Callable[[State], State], state: State) -> State:
    for _ in range(count):
        state = what(state)
    return state


def test_a_step_goes_back_and_on_and_is_named(state: State) -> None:
    one = put(state, "brightness", 0.6)
    two = put(one, "0.speed", 1.5)
    back = past.undone(two)
    assert edited(back) == edited(one)
    assert back.message is not None
    assert back.message.text == "Undone: 0.speed 1.5"
    assert edited(past.undone(back)) == edited(state)
    assert edited(past.redone(past.redone(past.undone(back)))) == edited(two)
    assert past.next_step(back, "back").label == "brightness 0.6"
    assert past.next_step(back, "on").label == "0.speed 1.5"


def test_with_nothing_to_take_back_it_is_said(state: State) -> None:
    assert past.undone(state).message.text == past.NOTHING_TO_UNDO
    assert past.redone(state).message.text == past.NOTHING_TO_REDO
    assert past.undone(state).history == state.history


def test_what_changes_nothing_is_no_step(state: State) -> None:
    assert put(state, "brightness", 0.8) is not state
    assert put(state, "brightness", 0.8).history is state.history
    assert past.stepped(state, replace(state, hour="late"), "hour").history is state.history


def test_a_drag_is_one_step_until_it_is_let_go(state: State) -> None:
    held = replace(state, drag="brightness")
    for percent in range(70, 20, -1):
        held = past.rested(put(held, "brightness", percent / 100, "brightness"), 5.0)
    assert len(held.history.done) == 1
    let_go = past.settled(replace(held, drag=None))
    again = put(let_go, "brightness", 0.5, "brightness")
    assert len(again.history.done) == 2
    assert past.undone(again).shown_brightness == pytest.approx(0.21)
    assert past.undone(past.undone(again)).brightness is None


def test_a_drag_back_to_where_it_began_is_no_step(state: State) -> None:
    held = put(put(state, "brightness", 0.3, "x"), "brightness", 0.8, "x")
    assert held.history.done == ()


def test_a_key_pressed_again_after_a_rest_is_a_step_of_its_own(state: State) -> None:
    soon = past.rested(put(state, "brightness", 0.7, "x"), past.JOIN_S / 2)
    assert len(put(soon, "brightness", 0.6, "x").history.done) == 1
    late = past.rested(soon, past.JOIN_S)
    assert len(put(late, "brightness", 0.6, "x").history.done) == 2
    assert len(put(soon, "0.speed", 2.0, "y").history.done) == 2


def test_a_new_step_ends_what_could_be_done_again(state: State) -> None:
    back = past.undone(put(state, "brightness", 0.6))
    other = put(back, "0.speed", 2.0)
    assert other.history.undone == ()
    assert edited(past.redone(other)) == edited(other)


def test_a_drawing_comes_back_letter_by_letter(state: State, house_file: Path) -> None:
    house = house_file.read_text()
    texts = [house.replace("Shed", f"Shéd {n * n}") + f"# {n}\n" * n for n in range(40)]
    now = state
    for text in texts:
        now = drawn(now, text)
    for text in reversed(texts):
        assert now.draft.text == text
        now = past.undone(now)
    assert now.draft is None
    assert times(40, past.redone, now).draft.text == texts[-1]


def test_a_drawing_changed_outside_the_history_is_never_undone_into_another(state: State) -> None:
    now = times(20, lambda s: drawn(s, (s.draft.text if s.draft else "a") + "b"), state)
    now = replace(now, draft=Draft("house.yaml", "as read", {}, "something else"))
    back = past.undone(now)
    assert back.draft == now.draft
    assert "another one since" in back.message.text


LINES = st.lists(st.sampled_from([b"a" * 400, b"b" * 300 + b"\n", b"c\n", b"\n"]), max_size=9)
TEXTS = st.one_of(st.binary(max_size=60), LINES.map(b"".join))


@given(TEXTS, TEXTS)
def test_the_difference_of_two_texts_leads_from_each_to_the_other(a: bytes, b: bytes) -> None:
    step = text_step(a, b)
    assert (forwards(step, a), backwards(step, b)) == (b, a)
    if a != b:
        assert forwards(step, b + b"x") is None


def test_ten_thousand_steps_of_a_large_drawing_stay_small(state: State, house_file: Path) -> None:
    house = house_file.read_text()
    lines = [f"#  - {{name: run {n}, path: [[0, {n}], [1, {n}]]}}\n" for n in range(1400)]
    assert len("".join(lines)) > 60_000
    tracemalloc.start()
    try:
        now = state
        for n in range(10_000):  # a run is moved, and at times its zone, far below, with it
            lines[(n * 37) % 700] = f"#  - {{name: run {n}, path: [[0, {n / 7:.3f}], [1, 0]]}}\n"
            if n % 10 == 0:
                lines[700 + (n * 53) % 700] = f"#  - {{name: zone {n}, of: [run {n}]}}\n"
            now = drawn(now, house + "".join(lines))
        used = tracemalloc.get_traced_memory()[0]
    finally:
        tracemalloc.stop()
    assert len(now.history.done) == 10_000
    assert used < 50e6, f"{used / 1e6:.1f} MB"
    assert now.draft.text == house + "".join(lines)
    back = times(12, past.undone, now)
    assert "run 9987," in back.draft.text
    assert "run 9988," not in back.draft.text
    assert times(12, past.redone, back).draft.text == now.draft.text


def test_another_kind_of_pixel_is_a_step(state: State) -> None:
    one = update(state, act.Set("kind", "ws2815"))
    two = update(one, act.Set("kind", "sk6812-rgbw-warm"))
    bright = update(two, act.Set("brightness", 0.3))
    back = update(update(bright, act.Undo()), act.Undo())
    assert (back.kind, back.message.text) == ("ws2815", "Undone: pixels sk6812-rgbw-warm")
    first = update(back, act.Undo())
    assert (first.kind, first.message.text) == (None, "Undone: pixels ws2815")
    assert not first.changed  # no file has it
    again = update(update(first, act.Redo()), act.Redo())
    assert (again.kind, again.brightness) == ("sk6812-rgbw-warm", None)
    assert update(state, act.Set("kind", "as in the house file")).history.done == ()


def test_a_kind_that_is_gone_is_not_put_back(state: State) -> None:
    two = update(update(state, act.Set("kind", "ws2815")), act.Set("kind", "ws2812b"))
    left = replace(two, facts=replace(two.facts, kinds=("ws2812b",)))
    back = update(left, act.Undo())
    assert back.kind == "ws2812b"
    assert back.message.text == "Not undone: pixels ws2812b; there is no kind ws2815 now"
