"""Saving what is on show, to show it to others: asked, made beside the window, told. Pure."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from itertools import count

from sim.app.state import feedback_actions as act
from sim.app.state.feedback import Making, What
from sim.app.state.questions import said
from sim.app.state.record import Facts, Question, State

#: What `Answer` says; the loop does the last, because it takes the surface.
PICTURE, FILM, WINDOW = "share-picture", "share-film", "share-window"
#: How long a film is [s].
FILM_S = 10.0
BUSY = "Still making the last one; Esc stops it"
STOPPED = "Stopped; nothing was saved"
NO_SCHEME = "There is no scheme on show that could be filmed"

#: Names that Windows keeps for devices, whatever their ending
#: (learn.microsoft.com/windows/win32/fileio/naming-a-file).
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)", re.IGNORECASE)


def question() -> Question:
    """What is to be saved?"""
    return Question(
        "Share what is on show",
        ("Picture: the house alone, 1920 × 1080, with its name and the scheme's beneath it.",
         f"Film: {FILM_S:.0f} s of the house from now on. Window: all of this window as it is."),
        ((PICTURE, "Picture"), (FILM, "Film"), (WINDOW, "Window")),
    )  # fmt: skip


def is_sharing(asked: Question | None) -> bool:
    """Whether it is being asked what to save."""
    return asked is not None and PICTURE in dict(asked.answers)


def share(state: State, what: What) -> State:
    """Begin to make something, unless something is being made already."""
    feedback = state.feedback
    if state.facts is None:
        return state
    if feedback.making is not None:
        return replace(state, message=said(BUSY))
    if what == "film" and not state.facts.scheme_file:
        return replace(state, message=said(NO_SCHEME))
    made = feedback.made + 1
    return replace(state, feedback=replace(feedback, made=made, making=Making(made, what)))


def answered(state: State, answer: str) -> State:
    """The state after it was said what to save."""
    if answer not in (PICTURE, FILM):
        return state
    return share(state, "picture" if answer == PICTURE else "film")


def stop(state: State) -> State:
    """Make it no longer."""
    if state.feedback.making is None:
        return state
    return replace(state, feedback=replace(state.feedback, making=None), message=said(STOPPED))


def so_far(state: State, action: act.SharedSoFar) -> State:
    """So much of it is done."""
    making = state.feedback.making
    if making is None or making.number != action.number:
        return state
    making = replace(making, share=min(max(action.share, 0.0), 1.0))
    return replace(state, feedback=replace(state.feedback, making=making))


def shared(state: State, action: act.Shared) -> State:
    """It is saved; a mark tells where until it is put away (`sim.app.state.chips`)."""
    making = state.feedback.making
    if making is not None and making.number == action.number:
        making = None
    feedback = replace(state.feedback, making=making, saved=action.path, saved_on=True)
    return replace(state, feedback=feedback, message=None)


def not_shared(state: State, action: act.NotShared) -> State:
    """It could not be made or saved."""
    making = state.feedback.making
    if making is None or making.number != action.number:
        return state
    return replace(
        state,
        feedback=replace(state.feedback, making=None),
        message=said(f"Not saved: {action.why}"),
    )


# --- names of files ---


def safe(name: str, longest: int = 40) -> str:
    """A name as a part of a file name that every system takes: letters, figures, - and _."""
    plain = re.sub(r"[^\w-]+", "-", name.casefold()).strip("-_")[:longest].rstrip("-_")
    return f"{plain}-" if _DEVICES.fullmatch(plain) else plain


def stem(facts: Facts, window: bool = False) -> str:
    """What a file that shows this house and scheme is called, without number and ending."""
    scheme = facts.scheme if facts.scheme_file else ""
    words = [safe(facts.house), safe(scheme), "window" if window else ""]
    return "-".join(word.rstrip("-") for word in words if word) or "evenfall"


def names(first: str, ending: str) -> Iterator[str]:
    """A name, then the same with a number, for as long as one is there already."""
    yield first + ending
    for number in count(2):
        yield f"{first}-{number}{ending}"
