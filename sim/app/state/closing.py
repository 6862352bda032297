"""What is asked before the window closes, and about drawings that an earlier one left. Pure."""

from __future__ import annotations

from dataclasses import replace
from pathlib import PurePath

from sim.app.state import drawing_words
from sim.app.state.history import stepped
from sim.app.state.history_record import DraftLike
from sim.app.state.questions import drawing_left, pending, said
from sim.app.state.record import Question, State
from sim.app.state.unsaved import UnsavedDrawing

#: What `Answer` says. All but `STAY` are the loop's, as they reach the disk.
WRITE_CLOSE, CLOSE, STAY = "write-close", "close", "stay"


def kept_feeds(state: State) -> bool:
    """Whether feeds are accepted that no file has."""
    return state.proposal is not None and state.proposal.accepted


def unwritten(state: State) -> tuple[str, ...]:
    """What stands in the window only, in words."""
    lines = []
    if state.changed and state.facts is not None:
        lines.append(f"values of {PurePath(state.facts.scheme_file).name or 'the scheme'}")
    if state.draft is not None and drawing_words.unwritten(state):
        lines.append(f"the drawing of {PurePath(state.draft.file).name}")
    if kept_feeds(state):
        lines.append("the accepted feeds")
    return tuple(lines)


def asked_before_closing(state: State) -> State:
    """The state with the question, if anything is unwritten; else the state itself."""
    found = unwritten(state)
    if not found:
        return state
    lines = ["Not written yet: " + ", ".join(found) + "."]
    feeds_only = found == ("the accepted feeds",)
    if not feeds_only:
        lines.append("What is left unwritten is kept, and offered when this house is next opened.")
    if kept_feeds(state):
        lines.append("Feeds are not kept: unwritten they go with the window.")
    can_write = not feeds_only or bool(state.proposal and state.proposal.file)
    answers = [(CLOSE, "Leave unwritten and close"), (STAY, "Stay")]
    if can_write:
        answers.insert(0, (WRITE_CLOSE, "Write and close"))
    return replace(
        state, question=Question("Close the window?", tuple(lines), tuple(answers)), help=False
    )


def is_closing(state: State) -> bool:
    """Whether it is being asked whether to close."""
    return state.question is not None and STAY in dict(state.question.answers)


def stays(state: State) -> State:
    """The window stays; what was asked before is asked again."""
    return replace(state, question=pending(state)) if is_closing(state) else state


# --- a drawing that was left ---


def found_drawing(state: State, left: UnsavedDrawing) -> State:
    """Offer a drawing that an earlier window left."""
    return replace(state, left_drawing=left, question=state.question or drawing_left(left))


def taken_up(state: State, draft: DraftLike) -> State:
    """The drawing is on show again; a step like any other."""
    before = state
    state = replace(state, draft=draft, left_drawing=None, question=None)
    state = replace(state, question=pending(state))
    return stepped(before, state, "take up the drawing")


def forgotten(state: State) -> State:
    """The drawing that was left goes for good."""
    state = replace(state, left_drawing=None, question=None)
    return replace(state, question=pending(state), message=said("The drawing is forgotten"))
