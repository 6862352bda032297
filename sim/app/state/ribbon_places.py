"""Where the ribbon's times and marks stand on the screen. Pure."""

from __future__ import annotations

from dataclasses import dataclass

from sim.app.state.record import State
from sim.app.state.ribbon_update import span_of
from sim.app.state.ribbon_view import Mark, seen
from sim.app.state.window_layout import Layout, Rect

#: A mark can be pressed within so much (WCAG 2.2, 2.5.8: at least 24 by 24).
TARGET = 24


@dataclass(frozen=True)
class MarkPlace:
    """A mark and the square that can be pressed for it."""

    mark: Mark
    place: Rect
    also: int = 0  # so many lesser ones stand too near to be told apart


def time_under(state: State, curve: Rect, x: float) -> float:
    """The time [s] under a column of the ribbon."""
    begin_s, end_s = seen(state.ribbon, span_of(state))
    return begin_s + (x - curve.x) / max(curve.w, 1) * (end_s - begin_s)


def column_of(state: State, curve: Rect, time_s: float) -> float:
    """The column of the ribbon [px] that shows a time; beside the curve where that is unseen."""
    begin_s, end_s = seen(state.ribbon, span_of(state))
    length_s = end_s - begin_s
    return curve.x + ((time_s - begin_s) / length_s if length_s > 0 else 0.0) * curve.w


def in_curve(curve: Rect, column: float) -> bool:
    """Whether a column is one of the curve's."""
    return curve.x <= column < curve.right


def mark_places(state: State, parts: Layout) -> tuple[MarkPlace, ...]:
    """The marks in sight; of those whose squares would meet, the first in weight alone.

    A rating passed comes before the peak, the peak before another limit. Zooming in parts them.
    """
    curve, side = parts.curve, parts.px(TARGET)
    if not curve.w or not curve.h:
        return ()
    weight = {"over": 0, "peak": 1, "past": 2}
    shown = [(column_of(state, curve, one.time_s), one) for one in state.ribbon.marks]
    kept: list[tuple[float, Mark, int]] = []
    for x, mark in sorted(shown, key=lambda pair: (weight[pair[1].form], pair[0])):
        if not in_curve(curve, x):
            continue
        near = next((i for i, one in enumerate(kept) if abs(one[0] - x) < side), None)
        if near is None:
            kept.append((x, mark, 0))
        else:
            kept[near] = (*kept[near][:2], kept[near][2] + 1)
    top = curve.y - side // 2 - parts.px(2)
    found = [MarkPlace(mark, Rect(round(x) - side // 2, top, side, side), also)
             for x, mark, also in kept]  # fmt: skip
    return tuple(sorted(found, key=lambda one: one.place.x))


def mark_under(state: State, parts: Layout, x: float, y: float) -> MarkPlace | None:
    """The mark that a press at a place of the screen means."""
    hit = [one for one in mark_places(state, parts) if one.place.holds(x, y)]
    return min(hit, key=lambda one: abs(one.place.x + one.place.w / 2 - x), default=None)


def on_axis(parts: Layout, x: float, y: float) -> bool:
    """Whether a place of the screen is over the axis of time, or over that of the current."""
    curve = parts.curve
    return parts.ribbon.holds(x, y) and (y >= curve.bottom or (x < curve.x and y >= curve.y))
