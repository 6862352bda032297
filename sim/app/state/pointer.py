"""What the pointer means: presses, drags and the wheel as actions. Pure."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.app.state import actions as act
from sim.app.state.controls import Control
from sim.app.state.drawer import DrawerRow, content_height
from sim.app.state.inspect import nearest
from sim.app.state.number_actions import BeginNumber
from sim.app.state.question import question_places
from sim.app.state.record import State
from sim.app.state.window_layout import Layout, Rect, time_at

#: So much at the right of a slider's name is its value, and can be typed [px at 100 %].
VALUE = 96


def pressed(
    state: State,
    parts: Layout,
    rows: tuple[DrawerRow, ...],
    at_px: np.ndarray | None,
    x: int,
    y: int,
) -> Iterator[act.Action]:
    """A press of the main button at (x, y) [px]; `at_px` (N, 2) are the pixels of the picture."""
    if state.help:
        yield act.ToggleHelp()
    elif state.question and (asked := question_places(state.question, parts)).card.holds(x, y):
        for (name, _), place in zip(state.question.answers, asked.buttons, strict=True):
            if place.holds(x, y):
                yield act.Answer(name)
    elif parts.ribbon.holds(x, y) and state.facts:
        yield act.Drag("ribbon")
        yield act.Seek(time_at(parts.curve, x, state.facts.span_s))
    elif state.drawer and parts.drawer.holds(x, y):
        yield from _in_drawer(state, parts, rows, x, y)
    elif near_divider(state, parts, x, y):
        yield act.Drag("divider")
    elif parts.picture.holds(x, y) and at_px is not None:
        reach = parts.px(14)
        yield act.Select(nearest(at_px, x - parts.picture.x, y - parts.picture.y, reach))


def near_divider(state: State, parts: Layout, x: int, y: int) -> bool:
    """Whether a press at (x, y) [px] takes hold of the divider."""
    at = parts.picture.x + parts.picture.w * state.divider
    held = parts.picture.holds(x, y) and abs(x - at) <= parts.divider_reach
    return state.compare and (held or state.drag == "divider")


def slider_at(
    state: State, parts: Layout, rows: tuple[DrawerRow, ...], x: int, y: int
) -> tuple[Control, Rect] | None:
    """The slider under a place of the screen and where its track stands."""
    if not state.drawer or not parts.drawer.holds(x, y):
        return None
    for row in rows:
        if row.control is not None and row.control.form == "slider":
            target = on_screen(row.target, parts, state)
            if target.holds(x, y):
                return row.control, target
    return None


def value_at(
    state: State, parts: Layout, rows: tuple[DrawerRow, ...], x: int, y: int
) -> Control | None:
    """The slider whose value, as it is written above its track, is at a place of the screen."""
    if not state.drawer or not parts.drawer.holds(x, y):
        return None
    for row in rows:
        if row.control is not None and row.control.form == "slider":
            place = on_screen(row.place, parts, state)
            w = parts.px(VALUE)
            if Rect(place.right - w, place.y, w, parts.px(25)).holds(x, y):
                return row.control
    return None


def knob_x(control: Control, target: Rect) -> float:
    """The middle of a slider's knob [px]; the knob is as wide as its row is high."""
    return target.x + target.h / 2 + control.share * max(target.w - target.h, 1)


def _value_at(control: Control, target: Rect, x: float) -> float:
    return control.at((x - target.x - target.h / 2) / max(target.w - target.h, 1))


def _in_drawer(
    state: State, parts: Layout, rows: tuple[DrawerRow, ...], x: int, y: int
) -> Iterator[act.Action]:
    """A press takes the scroll bar or a knob; beside the knob it brings the knob there first."""
    if x >= parts.drawer.right - parts.px(14):
        yield act.Drag("scroll")
        return
    named = value_at(state, parts, rows, x, y)
    if named is not None:
        yield BeginNumber(named.id)
        return
    found = slider_at(state, parts, rows, x, y)
    if found is not None:
        control, target = found
        grip_px = x - knob_x(control, target)
        if abs(grip_px) > target.h / 2:
            yield act.Set(control.id, _value_at(control, target, x))
            grip_px = 0.0
        yield act.Drag(control.id, grip_px)


def on_screen(place: Rect, parts: Layout, state: State) -> Rect:
    """A rectangle of the drawer's content where it stands on the screen."""
    shift = parts.drawer.y - round(state.scroll * parts.scale)
    return place._replace(x=place.x + parts.drawer.x, y=place.y + shift)


def moved(
    state: State, parts: Layout, rows: tuple[DrawerRow, ...], at: tuple[int, int], dy: int
) -> Iterator[act.Action]:
    """The pointer moved to `at` [px], down by dy, while something is dragged."""
    if state.drag == "ribbon" and state.facts:
        yield act.Seek(time_at(parts.curve, at[0], state.facts.span_s))
    elif state.drag == "divider":
        yield act.MoveDivider((at[0] - parts.picture.x) / parts.picture.w)
    elif state.drag == "scroll":
        content_px = content_height(rows, parts)
        limit = max(content_px - parts.drawer.h, 0)
        by = dy * content_px / parts.drawer.h
        yield act.Scroll(by / parts.scale, limit / parts.scale)
    for row in rows:
        if row.control is not None and row.control.id == state.drag:
            x = at[0] - state.grip_px
            yield act.Set(
                row.control.id, _value_at(row.control, on_screen(row.target, parts, state), x)
            )


def turned(
    state: State, parts: Layout, rows: tuple[DrawerRow, ...], x: int, y: int, notches: float
) -> Iterator[act.Action]:
    """The wheel turned by notches, up being positive."""
    if state.drawer and parts.drawer.holds(x, y):
        limit = max(content_height(rows, parts) - parts.drawer.h, 0)
        yield act.Scroll(-48 * notches, limit / parts.scale)
    elif parts.ribbon.holds(x, y):
        yield act.Step(round(-notches) or (1 if notches < 0 else -1))
