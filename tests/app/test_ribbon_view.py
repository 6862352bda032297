"""The ribbon as an instrument: the part in sight, the part that repeats, marks. No display."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.app.state import actions as act
from sim.app.state import ribbon_actions as rib
from sim.app.state.record import SCALES, State
from sim.app.state.ribbon import Load
from sim.app.state.ribbon_marks import MOST, is_flat, marks_of
from sim.app.state.ribbon_places import column_of, mark_places, mark_under, time_under
from sim.app.state.ribbon_pointer import ribbon_moved, ribbon_pressed, ribbon_turned
from sim.app.state.ribbon_view import Mark, RibbonView, advanced, panned, seen, zoomed
from sim.app.state.update import update
from sim.app.state.window_layout import layout

MARKS = (Mark("past", 2.0, "past a limit", 45), Mark("peak", 5.0, "peak"), Mark("over", 9.0, "b"))


def after(state: State, *actions: act.Action) -> State:
    for action in actions:
        state = update(state, action)
    return state


def press(state: State, share: float, y: int | None = None, **how: bool) -> State:
    """At a share of the curve's width, in its middle row or another."""
    parts = layout(state)
    x = parts.curve.x + round(parts.curve.w * share)
    row = parts.curve.y + parts.curve.h // 2 if y is None else y
    return after(state, *ribbon_pressed(state, parts, x, row, **how))


def drag(state: State, share: float) -> State:
    parts = layout(state)
    x = parts.curve.x + round(parts.curve.w * share)
    return after(state, *ribbon_moved(state, parts, x, parts.curve.y + 20))


# --- the part in sight ---


@given(st.lists(st.tuples(st.floats(0.2, 5.0), st.floats(0, 60), st.floats(-30, 30)), max_size=12))
def test_the_part_in_sight_lies_inside_and_is_never_too_short(moves) -> None:
    view = RibbonView()
    for factor, at_s, by_s in moves:
        view = panned(zoomed(view, 60.0, factor, at_s, 0.2), 60.0, by_s)
        begin_s, end_s = seen(view, 60.0)
        assert -1e-9 <= begin_s < end_s <= 60.0 + 1e-9
        assert end_s - begin_s >= 0.2 - 1e-9


def test_what_is_pointed_at_stays_where_it_is() -> None:
    view = zoomed(RibbonView(), 60.0, 4.0, 15.0, 0.2)
    begin_s, end_s = seen(view, 60.0)
    assert end_s - begin_s == pytest.approx(15.0)
    assert (15.0 - begin_s) / (end_s - begin_s) == pytest.approx(15.0 / 60.0)
    assert zoomed(view, 60.0, 1 / 4, 15.0, 0.2).window is None  # and back to all


def test_a_scheme_shorter_than_the_least_part_stays_whole() -> None:
    assert zoomed(RibbonView(), 0.05, 9.0, 0.01, 0.2).window is None


def test_wheel_and_keys_zoom_and_a_double_click_shows_all(state: State) -> None:
    parts = layout(state)
    x, foot = parts.curve.x + parts.curve.w // 2, parts.curve.bottom + 4
    (over_axis,) = ribbon_turned(state, parts, x, foot, 2, ctrl=False, shift=False)
    (with_ctrl,) = ribbon_turned(state, parts, x, parts.curve.y + 9, 2, ctrl=True, shift=False)
    assert over_axis == with_ctrl
    closer = after(state, over_axis)
    assert closer.ribbon.window == pytest.approx((1.8, 8.2), abs=0.02)  # 10 s / 1.25² about 5 s
    assert press(closer, 0.3, twice=True).ribbon.window is None
    (step,) = ribbon_turned(state, parts, x, parts.curve.y + 9, -1.0, ctrl=False, shift=False)
    assert step == act.Step(1)
    assert after(closer, rib.WholeTime()).ribbon.window is None


def test_the_axis_is_dragged_by_where_it_was_taken(state: State) -> None:
    closer = after(state, rib.ZoomTime(5.0, 5.0))
    foot = layout(state).curve.bottom + 4
    taken = press(closer, 0.5, y=foot)
    held_s = time_under(
        taken, layout(taken).curve, layout(taken).curve.x + layout(taken).curve.w / 2
    )
    moved = drag(taken, 0.25)
    curve = layout(moved).curve
    assert column_of(moved, curve, held_s) == pytest.approx(curve.x + curve.w * 0.25, abs=1)
    assert moved.time_s == state.time_s  # the instant on show is another thing
    assert drag(moved, 99.0).ribbon.window[0] == 0.0


def test_the_ribbon_seeks_from_the_press_on(state: State) -> None:
    pressed = press(state, 0.4)
    assert pressed.time_s == pytest.approx(4.0, abs=0.02)
    assert drag(pressed, 3.0).frame == 399
    closer = after(state, rib.ZoomTime(2.0, 0.0))
    assert press(closer, 0.4).time_s == pytest.approx(2.0, abs=0.02)


def test_what_plays_out_of_sight_takes_the_part_along(state: State) -> None:
    closer = replace(after(state, rib.ZoomTime(5.0, 0.0)), time_s=1.9, playing=True)
    assert closer.ribbon.window == (0.0, 2.0)
    begin_s, end_s = after(closer, act.Tick(0.2)).ribbon.window
    assert begin_s < 2.1 < end_s
    elsewhere = replace(closer, time_s=7.0)  # somebody looks at another part meanwhile
    assert after(elsewhere, act.Tick(0.2)).ribbon.window == (0.0, 2.0)


def test_another_scheme_is_seen_whole_and_the_same_one_as_it_was(state: State) -> None:
    closer = after(state, rib.ZoomTime(5.0, 5.0), rib.HoldTime(4.0), rib.LoopHeld(6.0))
    assert after(closer, act.Loaded(replace(state.facts, brightness=0.3))).ribbon == closer.ribbon
    other = replace(state.facts, scheme_file="plain.scheme.yaml")
    assert after(closer, act.Loaded(other)).ribbon == RibbonView()


# --- the part that repeats ---


def test_playing_goes_round_the_part(state: State) -> None:
    looped = drag(press(state, 0.2, part=True), 0.4)
    assert looped.ribbon.loop == pytest.approx((2.0, 4.0), abs=0.03)
    playing = replace(looped, playing=True, time_s=3.9)
    assert 2.0 <= after(playing, act.Drag(None), act.Tick(0.2)).time_s < 2.2
    assert after(replace(playing, time_s=1.0), act.Tick(0.1)).time_s == pytest.approx(1.1)
    assert after(replace(playing, time_s=8.0), act.Tick(0.1)).time_s == pytest.approx(
        looped.ribbon.loop[0]
    )


@given(st.floats(0, 9.9), st.floats(0, 5))
def test_from_inside_the_part_it_never_leaves(begin_s: float, seconds: float) -> None:
    view = RibbonView(loop=(2.0, 4.5))
    time_s = 2.0 + begin_s % 2.5
    assert 2.0 <= advanced(view, 10.0, time_s, seconds) < 4.5 + 1e-9


def test_keys_set_its_ends_and_escape_clears_it(state: State) -> None:
    began = after(state, act.Seek(3.0), rib.LoopFrom())
    assert began.ribbon.loop == (3.0, 10.0)
    ended = after(began, act.Seek(5.0), rib.LoopUntil())
    assert ended.ribbon.loop == pytest.approx((3.0, 5.025))  # the frame on show is the last
    assert after(ended, act.Seek(1.0), rib.LoopUntil()).ribbon.loop == pytest.approx((0.0, 1.025))
    assert after(ended, act.Back()).ribbon.loop is None
    assert after(ended, act.Back()).drawer is ended.drawer
    assert press(ended, 0.9, part=True).ribbon.loop is None  # a click without a drag


# --- marks ---


def marked(state: State) -> State:
    return after(state, rib.MarksFound(MARKS))


@pytest.mark.parametrize("scale", SCALES)
def test_marks_can_be_pressed_on_24_px_and_lead_to_their_instant(
    state: State, scale: float
) -> None:
    big = replace(marked(state), scale=scale, size_px=(1920, 1080), playing=True)
    parts = layout(big)
    found = mark_places(big, parts)
    # WCAG 2.2, success criterion 2.5.8: targets of at least 24 by 24 CSS pixels
    assert [one.mark for one in found] == list(MARKS)
    assert all(min(one.place.w, one.place.h) >= 24 * scale for one in found)
    first = found[0].place
    pressed = after(big, *ribbon_pressed(big, parts, first.x + 1, first.y + 1))
    assert (pressed.time_s, pressed.playing, pressed.selection) == (2.0, False, 45)
    assert pressed.drag is None


def test_marks_that_stand_too_near_are_one_until_one_comes_closer(state: State) -> None:
    close = after(state, rib.MarksFound((Mark("past", 5.0, "a"), Mark("over", 5.05, "b"))))
    (one,) = mark_places(close, layout(close))
    assert (one.mark.form, one.also) == ("over", 1)
    closer = after(close, rib.ZoomTime(40.0, 5.0))
    assert len(mark_places(closer, layout(closer))) == 2
    away = after(closer, rib.PanTime(20.0))
    assert mark_places(away, layout(away)) == ()
    assert mark_under(away, layout(away), 5, 5) is None


def test_keys_go_from_mark_to_mark_and_round(state: State) -> None:
    times = []
    one = marked(state)
    for _ in range(4):
        one = after(one, rib.StepMark(1))
        times.append(one.time_s)
    assert times == [2.0, 5.0, 9.0, 2.0]
    assert after(one, rib.StepMark(-1)).time_s == 9.0
    assert after(state, rib.StepMark(1)) == state


def load(total: np.ndarray, used: np.ndarray | None = None, **more: object) -> Load:
    used = total / 10 if used is None else used
    return Load(total, total[:, None], used, "the fuse", np.array([10.0]), ("box",), 40.0, **more)


def test_marks_are_the_worst_of_each_stretch_and_the_peak() -> None:
    total = np.full(4000, 2.0)
    total[1000:1100] = np.linspace(10.5, 12.0, 100)
    total[3000] = 11.0
    found = marks_of(load(total, limit_pixels=(7,)))
    assert [(one.form, one.time_s) for one in found] == [
        ("over", 1099 / 40), ("peak", 1099 / 40), ("over", 3000 / 40)]  # fmt: skip
    assert found[0].pixel == 7
    assert "120 %" in found[0].text


def test_what_is_guessed_or_flat_or_not_yet_known_is_not_marked() -> None:
    total = np.linspace(2.0, 12.0, 100)
    assert marks_of(load(total, about=np.ones(100, bool))) == ()
    assert marks_of(load(np.full(9, np.nan))) == ()
    assert is_flat(load(np.full(100, 2.0)))
    assert marks_of(load(np.full(100, 2.0))) == ()
    blinking = np.where(np.arange(40_000) % 800 < 20, 12.0, 1.0)
    assert len(marks_of(load(blinking))) == MOST + 1


# --- the pointer ---


def test_the_pointer_is_over_a_frame_or_none(state: State) -> None:
    pointed = drag(state, 0.5)
    assert pointed.ribbon.hover_s == pytest.approx(5.0, abs=0.03)
    assert pointed.time_s == state.time_s
    parts = layout(pointed)
    assert list(ribbon_moved(pointed, parts, *(parts.curve.x + round(parts.curve.w * 0.5),
                                               parts.curve.y + 20))) == []  # fmt: skip
    off = after(pointed, *ribbon_moved(pointed, parts, parts.curve.x + 9, parts.ribbon.y + 2))
    assert off.ribbon.hover_s is None


def test_what_lay_under_the_pointer_is_not_told_of_another_place(state: State) -> None:
    """By keys the curve moves under a pointer that stands still; by the wheel it does not."""
    for moving in (rib.ZoomTime(2.0), rib.PanTime(0.25), rib.WholeTime()):
        assert after(state, rib.PointAtTime(3.0), moving).ribbon.hover_s is None
    assert after(state, rib.PointAtTime(3.0), rib.ZoomTime(2.0, 3.0)).ribbon.hover_s == 3.0
