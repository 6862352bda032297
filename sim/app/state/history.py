"""One history for everything in the window that can be written to a file. Pure.

A step is what the person did in one go: a press, a choice, a drag from grip to release, a key held
down. It is kept as the difference it made. Undo gives each thing that the step changed the value
it had before, and leaves everything else as it is now: a file read anew meanwhile loses nothing.

How one looks at the house (hour, overlays, comparison) is no edit and no step; the kind of pixel
tried on it is a step, though no file has it: volts, amperes and feeds follow from it. Steps belong
to the house; those that changed values of a scheme wait until that scheme is on show again. A step
whose layer has gone from the file is passed over, and told.
"""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType
from typing import Literal, TypeVar

from sim.app.state.history_draft import draft_step, made_small, redrawn
from sim.app.state.history_record import FileStep, History, HistoryStep
from sim.app.state.history_trial import trial_step, tried_again
from sim.app.state.history_values import asked_about, put_back, value_steps
from sim.app.state.layer_order import merged, rearranged
from sim.app.state.layers import LayerMark
from sim.app.state.questions import said
from sim.app.state.record import State

Way = Literal["back", "on"]
_T = TypeVar("_T")

#: A key pressed again within this joins the step before it [s]; a drag joins until it ends.
JOIN_S = 0.6
#: So many of the newest steps keep their drawings whole, to be there at once.
NEAR = 8
NOTHING_TO_UNDO, NOTHING_TO_REDO = "Nothing to undo", "Nothing to redo"


def stepped(
    before: State, after: State, label: str, joins: str = "", wrote: FileStep | None = None
) -> State:
    """`after`, with a step from `before` to it in the history; `after` itself if nothing changed.

    `label` says in plain words what was done ("brightness 60 %"). Consecutive steps of the same
    `joins`, if not "", are one step: while `State.drag` is set as long as that lasts, else as long
    as no more than `JOIN_S` lie between. What had been taken back can then not be done again.
    """
    history = before.history
    step = _step(before, after, label, joins, wrote)
    if step is None:
        return after
    done = history.done
    if joins and done and history.open_s > 0 and done[-1].joins == joins and not wrote:
        joined = _joined(done[-1], step)
        done = (*done[:-1], joined) if joined is not None else done[:-1]
    else:
        done = (*done, step)
    if len(done) > NEAR and done[-NEAR - 1].draft is not None:
        done = (*done[: -NEAR - 1], made_small(done[-NEAR - 1]), *done[-NEAR:])
    return replace(
        after, history=replace(history, done=done, undone=(), open_s=JOIN_S if joins else 0.0)
    )


def settled(state: State) -> State:
    """The last step is finished: nothing joins it any more."""
    if not state.history.open_s:
        return state
    return replace(state, history=replace(state.history, open_s=0.0))


def rested(state: State, seconds: float) -> State:
    """Time has passed, and no drag holds the last step open."""
    if not state.history.open_s or state.drag is not None:
        return state
    left_s = max(state.history.open_s - seconds, 0.0)
    return replace(state, history=replace(state.history, open_s=left_s))


def next_step(state: State, way: Way) -> HistoryStep | None:
    """The step that would be taken back, or done again, for what is on show."""
    found = _found(state, way)
    return found[1] if found else None


def undone(state: State) -> State:
    """The state before the last step, with a word about it."""
    return _moved(state, "back")


def redone(state: State) -> State:
    """The state after the step last taken back, with a word about it."""
    return _moved(state, "on")


def written_again(state: State, wrote: FileStep) -> State:
    """The state once a writing that was taken back has been done again, as `wrote` says."""
    found = _found(state, "on")
    if found is None:
        return state
    index, step = found
    pile = state.history.undone
    pile = (*pile[:index], replace(step, wrote=wrote), *pile[index + 1 :])
    return redone(replace(state, history=replace(state.history, undone=pile)))


def filed_step(before: State, after: State, label: str, wrote: FileStep, again: bool) -> State:
    """`after`, in which a file was written: a step more, or `again`, the one taken back."""
    if again:
        return written_again(after, wrote)
    listed = after.history.listed  # what was written is known until it is read again
    before = replace(before, history=replace(before.history, listed=listed))
    return stepped(before, after, label, wrote=wrote)


def dropped(state: State, way: Way) -> State:
    """The state without the step that is next: it can neither be taken back nor done again."""
    found = _found(state, way)
    if found is None:
        return state
    index, history = found[0], state.history
    if way == "back":
        left = history.done[:index] + history.done[index + 1 :]
        return replace(state, history=replace(history, done=left, open_s=0.0))
    left = history.undone[:index] + history.undone[index + 1 :]
    return replace(state, history=replace(history, undone=left))


# --- one step ---


def _step(
    before: State, after: State, label: str, joins: str, wrote: FileStep | None
) -> HistoryStep | None:
    values = value_steps(before, after)
    aside = (before.aside, after.aside) if before.aside != after.aside else None
    proposal = (before.proposal, after.proposal) if before.proposal != after.proposal else None
    draft = draft_step(before.draft, after.draft)
    order = _order_step(before, after)
    trial = trial_step(before, after)
    kind = (before.kind, after.kind) if before.kind != after.kind else None
    if not (values or aside or proposal or draft or wrote or order or trial or kind):
        return None
    of_scheme = bool(values or aside or order or (wrote and (wrote.values or wrote.order)))
    scheme = after.facts.scheme_file if of_scheme and after.facts else ""
    return HistoryStep(label, joins, scheme, values, aside, proposal, draft, wrote, order, trial,
                       kind)  # fmt: skip


def _order_step(
    before: State, after: State
) -> tuple[tuple[LayerMark, ...], tuple[LayerMark, ...]] | None:
    if before.order == after.order or before.facts is None or after.facts is None:
        return None
    return before.order or before.facts.file_marks, after.order or after.facts.file_marks


def _joined(one: HistoryStep, two: HistoryStep) -> HistoryStep | None:
    """Two steps as one; None where they lead back to where they began."""
    values = {step.what: step for step in one.values}
    for step in two.values:
        first = values.get(step.what)
        values[step.what] = replace(
            step, before=first.before, asked_before=first.asked_before
        ) if first else step  # fmt: skip
    kept = tuple(
        step
        for step in values.values()
        if step.before != step.after or step.asked_before != step.asked_after
    )
    aside = _ends(one.aside, two.aside)
    proposal = _ends(one.proposal, two.proposal)
    draft = two.draft or one.draft
    if one.draft is not None and two.draft is not None:
        draft = draft_step(one.draft.ends[0], two.draft.ends[1])
    order = _ends(one.order, two.order)
    trial, kind = _ends(one.trial, two.trial), _ends(one.kind, two.kind)
    if not (kept or aside or proposal or draft or order or trial or kind):
        return None
    return HistoryStep(two.label, two.joins, one.scheme or two.scheme, kept, aside, proposal, draft,
                       order=order, trial=trial, kind=kind)  # fmt: skip


def _ends(one: tuple[_T, _T] | None, two: tuple[_T, _T] | None) -> tuple[_T, _T] | None:
    if one is None or two is None:
        return one or two
    return (one[0], two[1]) if one[0] != two[1] else None


# --- back and on ---


def _found(state: State, way: Way) -> tuple[int, HistoryStep] | None:
    """The last step of a pile that belongs to what is on show, and where it stands."""
    pile = state.history.done if way == "back" else state.history.undone
    scheme = state.facts.scheme_file if state.facts else ""
    for index in range(len(pile) - 1, -1, -1):
        if pile[index].scheme in ("", scheme):
            return index, pile[index]
    return None


def passed(state: State, way: Way) -> State:
    """The state with those of the next steps passed over that change nothing any more.

    A step that wrote a file always changes something, and is the loop's to take back: the file
    first, and only then the state.
    """
    state = settled(state)
    while (found := _found(state, way)) is not None:
        index, step = found
        if step.wrote is not None:
            break
        after, missing = _applied(state, step, way)
        if missing or _step(state, after, "", "", None) is not None:
            break
        state = replace(after, history=_shifted(after.history, index, way))
    return state


def _moved(state: State, way: Way) -> State:
    """One step back or on. Steps that change nothing any more are passed over without a word."""
    state = passed(state, way)
    found = _found(state, way)
    if found is None:
        words = NOTHING_TO_UNDO if way == "back" else NOTHING_TO_REDO
        return replace(state, message=said(words))
    index, step = found
    after, missing = _applied(state, step, way)
    after = replace(after, history=_shifted(after.history, index, way))
    if missing:
        verb = "Not undone" if way == "back" else "Not redone"
        return replace(after, message=said(f"{verb}: {step.label}; {missing}"))
    verb = "Undone" if way == "back" else "Redone"
    return replace(after, message=said(f"{verb}: {step.label}"))


def _shifted(history: History, index: int, way: Way) -> History:
    """A step moved from one pile to the other."""
    done, undone_ = history.done, history.undone
    if way == "back":
        left = done[:index] + done[index + 1 :]
        return replace(history, done=left, undone=(*undone_, done[index]))
    left = undone_[:index] + undone_[index + 1 :]
    return replace(history, done=(*done, undone_[index]), undone=left)


def _applied(state: State, step: HistoryStep, way: Way) -> tuple[State, str]:
    """The state with everything of a step set back or on; and what of it could not be."""
    missing = ""
    back = way == "back"
    if step.draft is not None:
        drawn = redrawn(state.draft, step.draft, back)
        if drawn is None:
            missing = "the drawing is another one since"
        else:
            state = replace(state, draft=drawn[0])
    if step.order is not None:
        state = _reordered(state, step.order[1 if back else 0], step.order[0 if back else 1])
    # An effect before its parameters: they are there with it only.
    for value in sorted(step.values, key=lambda one: one.what[1] != "effect"):
        there = put_back(state, value, back)
        if there is None:
            missing = "its layer is not in the file now"
        else:
            state = there
    if step.aside is not None:
        state = replace(state, aside=step.aside[0] if back else step.aside[1])
    if step.proposal is not None:
        state = replace(state, proposal=step.proposal[0] if back else step.proposal[1])
    if step.trial is not None:
        state = tried_again(state, step.trial[0 if back else 1])
    if step.kind is not None:
        kind = step.kind[0 if back else 1]
        if kind is None or (state.facts is not None and kind in state.facts.kinds):
            state = replace(state, kind=kind)
        else:
            missing = f"there is no kind {kind} now"
    if step.wrote is not None and back:
        state = _unwritten(state, step.wrote)
    return asked_about(state), missing


def _reordered(state: State, base: tuple[LayerMark, ...], order: tuple[LayerMark, ...]) -> State:
    """The layers in an order again that led to `base`, or came of it; what came since stays."""
    if state.facts is None:
        return state
    now = state.order or state.facts.file_marks
    same = {mark: mark for mark in base if mark in now}
    return rearranged(replace(state, order=merged(base, now, same, order)))


def _unwritten(state: State, wrote: FileStep) -> State:
    """What was written stands in the window only again; the file has its former text back."""
    facts = state.facts
    if not (wrote.values or wrote.order) or facts is None:
        return state
    # `put` takes what the file says for no edit, and the file says these until it is read anew.
    edits = dict(state.edits)
    for one in wrote.values:
        mark, name = one.what
        if mark is not None:
            edits[mark, name] = one.after
        elif name == "brightness":
            state = replace(state, brightness=float(one.after))
        elif name == "colour":
            state = replace(state, colour=str(one.after))
        else:
            state = replace(state, white=one.after)
    returning = MappingProxyType({one.what: one.before for one in wrote.values})
    if wrote.order:
        state = replace(state, order=wrote.order)
    return replace(
        state,
        facts=replace(facts, scheme_digest=wrote.digests[0]),
        edits=MappingProxyType(edits),
        history=replace(state.history, returning=returning, listed=wrote.listed),
    )
