"""The ribbon's actions on the state. Pure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from sim.app.state import ribbon_actions as act
from sim.app.state.record import State
from sim.app.state.ribbon_view import (
    LEAST_FRAMES,
    LOOP_FRAMES,
    Mark,
    RibbonView,
    advanced,
    brought,
    looped,
    neighbour,
    panned,
    seen,
    shown_from,
    zoomed,
)


def span_of(state: State) -> float:
    """The length of the ribbon [s]; 0 before a file was read."""
    return state.facts.span_s if state.facts else 0.0


def _frame_s(state: State) -> float:
    return 1 / state.facts.fps if state.facts else 0.0


def played(state: State, seconds: float) -> float:
    """The time [s] after playing on."""
    return advanced(state.ribbon, span_of(state), state.time_s, seconds)


def kept_in_sight(before: State, after: State) -> State:
    """Where the instant on show was in sight, it stays so."""
    if after.ribbon.window is None or after.time_s == before.time_s:
        return after
    begin_s, end_s = seen(before.ribbon, span_of(before))
    if not begin_s <= before.time_s < end_s:
        return after
    return replace(after, ribbon=brought(after.ribbon, span_of(after), after.time_s))


def fresh(before: State, after: State) -> State:
    """Another scheme or another length: nothing of the old one's view is kept."""
    was, now = before.facts, after.facts
    same = was is not None and now is not None
    if same and (was.scheme_file, was.span_s, was.fps) == (now.scheme_file, now.span_s, now.fps):  # type: ignore[union-attr]
        return after
    return replace(after, ribbon=RibbonView())


def _zoom(state: State, action: act.ZoomTime) -> State:
    about_s = state.frame_s if action.at_s is None else action.at_s
    least_s = LEAST_FRAMES * _frame_s(state)
    view = zoomed(state.ribbon, span_of(state), action.factor, about_s, least_s)
    # by keys the instant under the pointer is another now; by the wheel it is the one kept
    return replace(state, ribbon=view if action.at_s is not None else replace(view, hover_s=None))


def _pan(state: State, action: act.PanTime) -> State:
    begin_s, end_s = seen(state.ribbon, span_of(state))
    view = panned(state.ribbon, span_of(state), action.share * (end_s - begin_s))
    return replace(state, ribbon=replace(view, hover_s=None))


def _shift(state: State, action: act.ShiftHeld) -> State:
    view = state.ribbon
    if view.held_s is None or view.window is None:
        return state
    length_s = view.window[1] - view.window[0]
    from_s = view.held_s - action.share * length_s
    return replace(state, ribbon=shown_from(view, span_of(state), from_s, length_s))


def _looped(state: State, a_s: float, b_s: float) -> State:
    least_s = LOOP_FRAMES * _frame_s(state)
    return replace(state, ribbon=looped(state.ribbon, span_of(state), a_s, b_s, least_s))


def _loop_held(state: State, action: act.LoopHeld) -> State:
    held_s = state.ribbon.held_s
    return state if held_s is None else _looped(state, held_s, action.time_s)


def _loop_from(state: State, _: act.LoopFrom) -> State:
    """To where it ended, if that is later, or to the end."""
    loop, end_s = state.ribbon.loop, span_of(state)
    if loop is not None and loop[1] > state.frame_s + _frame_s(state):
        end_s = loop[1]
    return _looped(state, state.frame_s, end_s)


def _loop_until(state: State, _: act.LoopUntil) -> State:
    """The frame on show is the last; from where it began, if that is earlier, or from 0."""
    loop, end_s = state.ribbon.loop, state.frame_s + _frame_s(state)
    begin_s = loop[0] if loop is not None and loop[0] < state.frame_s else 0.0
    return _looped(state, begin_s, end_s)


def _open_mark(state: State, action: act.OpenMark) -> State:
    return _to(state, action.mark)


def _step_mark(state: State, action: act.StepMark) -> State:
    found = neighbour(state.ribbon.marks, state.frame_s, action.by, _frame_s(state))
    return state if found is None else _to(state, found)


def _to(state: State, mark: Mark) -> State:
    """The instant of a mark stands still, and what it is about is chosen."""
    view = brought(state.ribbon, span_of(state), mark.time_s)
    selection = state.selection if mark.pixel is None else mark.pixel
    return replace(state, time_s=mark.time_s, playing=False, ribbon=view, selection=selection)


def _with(**changes: Any) -> Callable[[State, Any], State]:
    return lambda state, _: replace(state, ribbon=replace(state.ribbon, **changes))


def _taken(name: str, field: str) -> Callable[[State, Any], State]:
    """The field of an action becomes a field of the view."""
    return lambda state, action: replace(
        state, ribbon=replace(state.ribbon, **{name: getattr(action, field)})
    )


RIBBON_HANDLERS: dict[type, Callable[[State, Any], State]] = {
    act.ZoomTime: _zoom,
    act.PanTime: _pan,
    act.WholeTime: _with(window=None, hover_s=None),
    act.HoldTime: _taken("held_s", "time_s"),
    act.ShiftHeld: _shift,
    act.LoopHeld: _loop_held,
    act.LoopFrom: _loop_from,
    act.LoopUntil: _loop_until,
    act.ClearLoop: _with(loop=None),
    act.PointAtTime: _taken("hover_s", "time_s"),
    act.OpenMark: _open_mark,
    act.StepMark: _step_mark,
    act.MarksFound: _taken("marks", "marks"),
    act.InstantFound: _taken("instant", "instant"),
}
