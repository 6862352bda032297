"""What the actions of `feedback_actions` do to the state. Pure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from sim.app.state import feedback_actions as act
from sim.app.state import sharing, told_aside
from sim.app.state.controls import control
from sim.app.state.record import State
from sim.app.state.settings import setting


def revert_one(state: State, name: str) -> State:
    """One value as the file has it; all others stay."""
    row = setting(state.facts, name) if state.facts else None
    if row is None or row.file is None or state.facts is None or row.file.mine(state) is None:
        return state
    state = row.put(state, row.file.held(state.facts))
    return replace(state, collided=state.collided - {name})


def in_words(state: State, action: act.RevertOne) -> str:
    """What a step back to the file's value is called."""
    found = control(state, action.control or state.focus or "")
    name = found.spoken or found.label if found is not None else "a value"
    return f"{name[:1].lower()}{name[1:]}: back to the file"


def _show_all(state: State, _: act.ShowAllLayers) -> State:
    return replace(state, only=None, hidden=frozenset())


def not_asked(state: State) -> State:
    """The state without the question on show; what waited behind it is asked again."""
    state = replace(state, question=None)
    return replace(state, question=told_aside.waiting(state))


def _ask(state: State, _: act.AskSharing) -> State:
    if sharing.is_sharing(state.question):
        return not_asked(state)
    return replace(state, question=sharing.question()) if state.facts is not None else state


def hush_saved(state: State) -> State:
    """The state without the mark that tells where something was saved."""
    return replace(state, feedback=replace(state.feedback, saved_on=False))


def _scroll_help(state: State, action: act.ScrollHelp) -> State:
    y = min(max(state.feedback.help_y + action.by, 0.0), max(action.limit, 0.0))
    return replace(state, feedback=replace(state.feedback, help_y=y))


HANDLERS: dict[type, Callable[[State, Any], State]] = {
    act.PutAside: told_aside.put_aside,
    act.TellAgain: lambda state, _: told_aside.tell_again(state),
    act.RevertOne: lambda state, action: revert_one(state, action.control or state.focus or ""),
    act.ShowAllLayers: _show_all,
    act.AskSharing: _ask,
    act.ShareNow: lambda state, action: sharing.share(state, action.what),
    act.StopSharing: lambda state, _: sharing.stop(state),
    act.SharedSoFar: sharing.so_far,
    act.Shared: sharing.shared,
    act.NotShared: sharing.not_shared,
    act.ScrollHelp: _scroll_help,
    act.HushSaved: lambda state, _: hush_saved(state),
}
