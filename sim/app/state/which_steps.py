"""Which actions are steps of the history, and what each is called. Pure."""

from __future__ import annotations

from sim.app.state import actions as act
from sim.app.state.controls import Control, any_control
from sim.app.state.feedback_update import in_words
from sim.app.state.history import stepped
from sim.app.state.proposing import ACCEPT, UNDO
from sim.app.state.questions import FORGET, KEEP_FILE, USE
from sim.app.state.record import State

#: What the person does that can be taken back. Files read anew are none, nor what the loop tells.
STEPS = (act.Set, act.Nudge, act.Activate, act.Revert, act.RevertOne, act.Answer,
         act.AcceptFeeds, act.UndoFeeds)  # fmt: skip
_ANSWERS = {
    KEEP_FILE: "keep the file's values",
    USE: "take up what was left",
    FORGET: "forget what was left",
    ACCEPT: "accept the feeds",
    UNDO: "drop the proposed feeds",
}


def recorded(before: State, after: State, action: act.Action) -> State:
    """The state after an action, with a step for it where it is one."""
    if not isinstance(action, STEPS) or after.history is not before.history:
        return after
    label, joins = _called(before, after, action)
    return stepped(before, after, label, joins)


def _called(before: State, after: State, action: act.Action) -> tuple[str, str]:
    """The name of a step, and with which others it is one."""
    if isinstance(action, act.Revert):
        return "back to the file", ""
    if isinstance(action, act.RevertOne):
        return in_words(before, action), ""
    if isinstance(action, act.AcceptFeeds):
        return _ANSWERS[ACCEPT], ""
    if isinstance(action, act.UndoFeeds):
        return _ANSWERS[UNDO], ""
    if isinstance(action, act.Answer):
        return _ANSWERS.get(_answer(before, action), "an answer"), ""
    named = getattr(action, "control", None) or before.focus or ""
    found = any_control(after, named)
    if found is None:
        return "a change", ""
    joins = named if found.form == "slider" else ""
    return called(found), joins


def called(found: Control) -> str:
    """A control and its value, as a step is named: "brightness 60 %"."""
    of_layer = found.id.partition(".")[0].isdigit()
    name = found.spoken if of_layer else found.label
    value = ("on" if found.value else "off") if found.form == "switch" else found.text
    between = ": " if of_layer and value else " "
    return f"{name[:1].lower()}{name[1:]}{between}{value}".rstrip()


def _answer(state: State, action: act.Answer) -> str:
    if isinstance(action.answer, str):
        return action.answer
    names = [name for name, _ in state.question.answers] if state.question else []
    return names[action.answer - 1] if 0 < action.answer <= len(names) else ""
