"""What the pointer means outside the ribbon: presses, drags and the wheel as actions. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from sim.app.state import actions as act
from sim.app.state.controls import Control
from sim.app.state.drawer import DrawerRow, content_height, foot_h, mark_place
from sim.app.state.number_actions import BeginNumber
from sim.app.state.question import question_places
from sim.app.state.record import State
from sim.app.state.touch_pointer import Touchable, touched
from sim.app.state.window_layout import Layout, Rect

#: So much at the right of a slider's name is its value, and can be typed [px at 100 %].
VALUE = 96


def pressed(
    state: State,
    parts: Layout,
    rows: tuple[DrawerRow, ...],
    touch: Touchable,
    x: int,
    y: int,
) -> Iterator[act.Action]:
    """A press of the main button at (x, y) [px]; `touch` is what of the house can be touched."""
    if state.help:
        yield act.ToggleHelp()
    elif state.question and (asked := question_places(state.question, parts)).card.holds(x, y):
        for (name, _), place in zip(state.question.answers, asked.buttons, strict=True):
            if place.holds(x, y):
                yield act.Answer(name)
    elif touch.card is not None and touch.card.card.holds(x, y):
        if (wanted := touch.card.at(x, y)) is not None:
            yield wanted
    elif state.drawer and parts.drawer.holds(x, y):
        yield from _in_drawer(state, parts, rows, x, y)
    elif near_divider(state, parts, x, y):
        yield act.Drag("divider")
    elif parts.picture.holds(x, y) and touch.places is not None:
        yield from touched(state, parts, touch, x, y)


def near_divider(state: State, parts: Layout, x: int, y: int) -> bool:
    """Whether a press at (x, y) [px] takes hold of the divider."""
    at = parts.picture.x + parts.picture.w * state.divider
    held = parts.picture.holds(x, y) and abs(x - at) <= parts.divider_reach
    return state.compare and (held or state.drag == "divider")


def _scrolling(
    state: State, parts: Layout, rows: tuple[DrawerRow, ...], x: int, y: int
) -> tuple[DrawerRow, ...]:
    """The drawer's rows for a place of the screen where they are seen; none beside the drawer, nor
    on what is pinned over their end."""
    seen = state.drawer and parts.drawer.holds(x, y) and y < parts.drawer.bottom - foot_h(rows)
    return rows if seen else ()


def slider_at(
    state: State, parts: Layout, rows: tuple[DrawerRow, ...], x: int, y: int
) -> tuple[Control, Rect] | None:
    """The slider under a place of the screen and where its track stands."""
    for row in _scrolling(state, parts, rows, x, y):
        if row.control is not None and row.control.form == "slider":
            target = on_screen(row.target, parts, state)
            side, below = parts.px(8), parts.px(6)
            if target.inset(-side, -parts.px(4), -side, -below).holds(x, y):
                return row.control, target
    return None


def value_at(
    state: State, parts: Layout, rows: tuple[DrawerRow, ...], x: int, y: int
) -> Control | None:
    """The slider whose value, as it is written above its track, is at a place of the screen."""
    for row in _scrolling(state, parts, rows, x, y):
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
    if in_scroll(parts, rows, x):
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
    elif (marked := mark_at(state, parts, rows, x, y)) is not None:
        yield act.RevertOne(marked.id)


def mark_at(
    state: State, parts: Layout, rows: tuple[DrawerRow, ...], x: int, y: int
) -> Control | None:
    """The control whose mark of a changed value is under a place of the screen."""
    for row in _scrolling(state, parts, rows, x, y):
        place = mark_place(row, parts)
        if place is not None and on_screen(place, parts, state).holds(x, y):
            return row.control
    return None


def in_scroll(parts: Layout, rows: tuple[DrawerRow, ...], x: int) -> bool:
    """Whether a column of the drawer takes its scroll bar: 20 px, and no more than the margin
    beside the controls; nowhere while all is in sight."""
    return x >= parts.drawer.right - parts.px(20) and content_height(rows, parts) > parts.drawer.h


def on_screen(place: Rect, parts: Layout, state: State) -> Rect:
    """A rectangle of the drawer's content where it stands on the screen."""
    shift = parts.drawer.y - round(state.scroll * parts.scale)
    return place._replace(x=place.x + parts.drawer.x, y=place.y + shift)


def moved(
    state: State, parts: Layout, rows: tuple[DrawerRow, ...], at: tuple[int, int], dy: int
) -> Iterator[act.Action]:
    """The pointer moved to `at` [px], down by dy, while something is dragged."""
    if state.drag == "divider":
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
