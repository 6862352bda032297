"""Warnings that were put aside: nothing that needs the person goes without leaving a mark. Pure."""

from __future__ import annotations

from dataclasses import replace
from pathlib import PurePath

from sim.app.state.feedback_actions import PutAside
from sim.app.state.proposing import with_card
from sim.app.state.questions import pending
from sim.app.state.record import Question, State

#: Banners that stay as long as what they tell of, in the order they are put aside by Esc.
WARNINGS = ("fault", "no_plan", "problems")
BANNERS = ("question", *WARNINGS)


def told(state: State) -> State:
    """The state as the banners tell of it: without what was put aside."""
    hushed = state.feedback.hushed
    if not hushed:
        return state
    return replace(
        state,
        fault="" if "fault" in hushed else state.fault,
        no_plan="" if "no_plan" in hushed else state.no_plan,
        problems=() if "problems" in hushed else state.problems,
    )


def put_aside(state: State, action: PutAside) -> State:
    """The state with a banner hidden. A question stays unanswered: what it is about waits."""
    if action.name == "question":
        return replace(state, question=None)
    hushed = state.feedback.hushed | {action.name}
    return replace(state, feedback=replace(state.feedback, hushed=hushed))


def next_aside(state: State) -> str:
    """The banner that Esc would put aside; "" where none is on show."""
    on_show = told(state)
    for name, there in (("fault", on_show.fault), ("no_plan", on_show.no_plan),
                        ("question", state.question), ("problems", on_show.problems)):  # fmt: skip
        if there:
            return name
    return ""


def fresh(before: State, after: State) -> State:
    """`after`, in which what is told newly, or in other words than before, is told aloud."""
    hushed = after.feedback.hushed
    if not hushed:
        return after
    still = frozenset(
        name
        for name in hushed
        if getattr(after, name) and getattr(after, name) == getattr(before, name)
    )
    if still == hushed:
        return after
    return replace(after, feedback=replace(after.feedback, hushed=still))


def with_fault(state: State, text: str) -> State:
    """The state in which something failed inside; told aloud, even if it did before."""
    hushed = state.feedback.hushed - {"fault"}
    return replace(state, fault=text, feedback=replace(state.feedback, hushed=hushed))


def waiting(state: State) -> Question | None:
    """The question that was put off, if what it is about still waits."""
    if state.question is not None:
        return None
    return pending(state) or with_card(state).question


def tell_again(state: State) -> State:
    """Every banner that was put aside is on show again."""
    state = replace(state, feedback=replace(state.feedback, hushed=frozenset()))
    return replace(state, question=state.question or waiting(state))


def marks(state: State) -> tuple[str, ...]:
    """A few words for each thing that was put aside and still waits."""
    hushed, found = state.feedback.hushed, []
    if waiting(state) is not None:
        found.append("A question waits")
    if "fault" in hushed and state.fault:
        found.append("Something failed inside")
    if "no_plan" in hushed and state.no_plan:
        found.append("No feeds proposed")
    if "problems" in hushed and state.problems:
        count, first = len(state.problems), state.problems[0]
        words = "problem" if count == 1 else "problems"
        found.append(f"{PurePath(first.file).name}: {count} {words}")
    return tuple(found)
