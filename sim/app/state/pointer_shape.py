"""What the pointer looks like over what: a hand over what can be pressed, arrows over what can be
dragged. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from sim.app.state.drawer import DrawerRow
from sim.app.state.pointer import in_scroll, knob_x, near_divider, on_screen, slider_at
from sim.app.state.question import question_places
from sim.app.state.record import State
from sim.app.state.ribbon_places import column_of
from sim.app.state.touch_pointer import Touchable, thing_at
from sim.app.state.window_layout import Layout, Rect

PointerShape = Literal["arrow", "hand", "across", "down"]


def pointer_shape(
    state: State,
    parts: Layout,
    rows: tuple[DrawerRow, ...],
    tools: Iterable[Rect],
    touch: Touchable,
    at: tuple[int, int],
) -> PointerShape:
    """The shape at a point of the screen; `tools` are the buttons at the foot that do something."""
    x, y = at
    if state.drag is not None:
        return "down" if state.drag == "scroll" else "across"
    if state.help or any(place.holds(x, y) for place in tools):
        return "hand"
    if state.question:
        asked = question_places(state.question, parts)
        if asked.card.holds(x, y):
            return "hand" if any(place.holds(x, y) for place in asked.buttons) else "arrow"
    if state.board is not None:
        return "arrow"
    if touch.card is not None and touch.card.card.holds(x, y):
        return "hand" if touch.card.at(x, y) is not None else "arrow"
    if parts.ribbon.holds(x, y) and state.facts:
        hand = column_of(state, parts.curve, state.frame_s)
        return "across" if abs(x - hand) <= parts.px(20) else "hand"
    if state.drawer and parts.drawer.holds(x, y):
        return _in_drawer(state, parts, rows, x, y)
    if near_divider(state, parts, x, y):
        return "across"
    return "arrow" if thing_at(state, parts, touch, x, y) is None else "hand"


def _in_drawer(
    state: State, parts: Layout, rows: tuple[DrawerRow, ...], x: int, y: int
) -> PointerShape:
    if in_scroll(parts, rows, x):
        return "down"
    found = slider_at(state, parts, rows, x, y)
    if found is not None:
        control, target = found
        return "across" if abs(x - knob_x(control, target)) <= parts.px(20) else "hand"
    pressed = any(
        row.control is not None and row.control.form != "slider"
        and on_screen(row.target, parts, state).holds(x, y)
        for row in rows
    )  # fmt: skip
    return "hand" if pressed else "arrow"
