"""What the pointer means in the ribbon: presses, drags and the wheel as actions. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from sim.app.state import actions as act
from sim.app.state import ribbon_actions as rib
from sim.app.state.record import State
from sim.app.state.ribbon_places import mark_under, on_axis, time_under
from sim.app.state.ribbon_update import span_of
from sim.app.state.window_layout import Layout

#: What `State.drag` is called while something of the ribbon is dragged.
SEEKING, PANNING, LOOPING = "ribbon", "ribbon axis", "ribbon part"
DRAGS = (SEEKING, PANNING, LOOPING)
#: A notch of the wheel brings the time closer by this factor.
CLOSER = 1.25


def ribbon_pressed(
    state: State, parts: Layout, x: int, y: int, *, part: bool = False, twice: bool = False
) -> Iterator[act.Action]:
    """A press at (x, y) [px]; `part`: with Shift or the other button; `twice`: the second."""
    time_s = min(max(time_under(state, parts.curve, x), 0.0), span_of(state))
    mark = mark_under(state, parts, x, y)
    if part:
        yield rib.ClearLoop()
        yield rib.HoldTime(time_s)
        yield act.Drag(LOOPING)
    elif mark is not None:
        yield rib.OpenMark(mark.mark)
    elif twice:
        yield rib.WholeTime()
    elif state.ribbon.window is not None and on_axis(parts, x, y):
        yield rib.HoldTime(time_s)
        yield act.Drag(PANNING)
    else:
        yield act.Drag(SEEKING)
        yield act.Seek(time_s)


def ribbon_moved(state: State, parts: Layout, x: int, y: int) -> Iterator[act.Action]:
    """The pointer moved to (x, y) [px], over the ribbon or while something of it is dragged."""
    time_s = min(max(time_under(state, parts.curve, x), 0.0), span_of(state))
    if state.drag == SEEKING:
        yield act.Seek(time_s)
    elif state.drag == PANNING:
        yield rib.ShiftHeld((x - parts.curve.x) / max(parts.curve.w, 1))
    elif state.drag == LOOPING:
        yield rib.LoopHeld(time_s)
    over = parts.curve.holds(x, y)
    pointed = None
    if over and state.facts is not None:
        frame = min(int(time_s * state.facts.fps + 1e-6), state.facts.frames - 1)
        pointed = frame / state.facts.fps
    if pointed != state.ribbon.hover_s:
        yield rib.PointAtTime(pointed)


def ribbon_turned(
    state: State, parts: Layout, x: int, y: int, notches: float, *, ctrl: bool, shift: bool
) -> Iterator[act.Action]:
    """The wheel turned by notches over the ribbon, up being positive."""
    if ctrl or on_axis(parts, x, y):
        yield rib.ZoomTime(CLOSER**notches, time_under(state, parts.curve, x))
    elif shift:
        yield rib.PanTime(-0.1 * notches)
    else:
        yield act.Step(round(-notches) or (1 if notches < 0 else -1))
