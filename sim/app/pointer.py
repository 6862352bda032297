"""What the pointer means: presses, drags and the wheel as actions. Pure."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sim.app import actions as act
from sim.app.drawer import Row
from sim.app.inspect import nearest
from sim.app.layout import Layout, Rect, time_at
from sim.app.state import State


def pressed(
    state: State, parts: Layout, rows: tuple[Row, ...], at_px: np.ndarray | None, x: int, y: int
) -> Iterator[act.Action]:
    """A press of the main button at (x, y) [px]; `at_px` (N, 2) are the pixels of the picture."""
    if state.help:
        yield act.ToggleHelp()
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


def _in_drawer(
    state: State, parts: Layout, rows: tuple[Row, ...], x: int, y: int
) -> Iterator[act.Action]:
    """A press on a slider's track, away from its knob, brings the knob there."""
    if x >= parts.drawer.right - parts.px(14):
        yield act.Drag("scroll")
        return
    for row in rows:
        control = row.control
        if control is None or control.form != "slider":
            continue
        target = on_screen(row.target, parts, state)
        knob = target.h
        if not target.holds(x, y):
            continue
        reach = max(target.w - knob, 1)
        if abs(x - target.x - knob / 2 - control.share * reach) > knob / 2:
            yield act.Set(control.id, control.at((x - target.x - knob / 2) / reach))


def on_screen(place: Rect, parts: Layout, state: State) -> Rect:
    """A rectangle of the drawer's content where it stands on the screen."""
    shift = parts.drawer.y - round(state.scroll * parts.scale)
    return place._replace(x=place.x + parts.drawer.x, y=place.y + shift)


def moved(
    state: State, parts: Layout, content_px: int, at: tuple[int, int], dy: int
) -> Iterator[act.Action]:
    """The pointer moved to `at` [px], down by dy, while something is dragged."""
    if state.drag == "ribbon" and state.facts:
        yield act.Seek(time_at(parts.curve, at[0], state.facts.span_s))
    elif state.drag == "divider":
        yield act.MoveDivider((at[0] - parts.picture.x) / parts.picture.w)
    elif state.drag == "scroll":
        limit = max(content_px - parts.drawer.h, 0)
        by = dy * content_px / parts.drawer.h
        yield act.Scroll(by / parts.scale, limit / parts.scale)


def turned(
    state: State, parts: Layout, content_px: int, x: int, y: int, notches: float
) -> Iterator[act.Action]:
    """The wheel turned by notches, up being positive."""
    if state.drawer and parts.drawer.holds(x, y):
        limit = max(content_px - parts.drawer.h, 0)
        yield act.Scroll(-48 * notches, limit / parts.scale)
    elif parts.ribbon.holds(x, y):
        yield act.Step(round(-notches) or (1 if notches < 0 else -1))
