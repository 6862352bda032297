"""What Esc leaves. Pure."""

from __future__ import annotations

from dataclasses import replace

from sim.app.state import actions as act
from sim.app.state import feedback_update, mending, sharing, told_aside, touch
from sim.app.state.choosing import closed
from sim.app.state.record import State
from sim.app.state.ribbon_actions import ClearLoop
from sim.app.state.ribbon_update import RIBBON_HANDLERS


def left(state: State, _: act.Back) -> State:
    """The state without what is in front: the last opened goes first, the drawer last."""
    if state.help:
        return replace(state, help=False)
    if state.number is None and sharing.is_sharing(state.question):
        return feedback_update.not_asked(state)  # asked for by a key, over whatever was open
    if state.feedback.making is not None:
        return sharing.stop(state)
    if state.number is not None:
        return replace(state, number=None)
    if state.choosing is not None and state.question is None:
        return closed(state)
    if mending.sheet_of(state) is not None:
        return mending.closed(state)
    if state.focus is not None:
        return replace(state, focus=None)
    if state.selection is not None:
        return replace(state, selection=None)
    if (farther := touch.closer_left(state)) is not None:
        return farther
    if state.ribbon.loop is not None:
        return RIBBON_HANDLERS[ClearLoop](state, ClearLoop())
    aside = told_aside.next_aside(state)
    if aside:  # what it is about stays as it is, and a mark of it
        return told_aside.put_aside(state, act.PutAside(aside))
    if state.feedback.saved_on:
        return feedback_update.hush_saved(state)
    return replace(state, drawer=False)
