"""Feeds proposed for a house that lacks them: asked for, shown, accepted or undone. Pure.

The wiring itself is worked out elsewhere; the state knows which asking is on, how far it is, and
what is said of its answer.
"""

from __future__ import annotations

from dataclasses import replace

from sim.app.state.drawing_words import WRITE_FIRST, unwritten
from sim.app.state.questions import pending, said
from sim.app.state.record import Asking, Proposed, Question, State

#: What `Answer` says to the card of a proposal.
ACCEPT, UNDO = "accept-feeds", "undo-feeds"
#: And to the question after it; the loop does the first, because it reaches the disk.
WRITE, NOT_NOW = "write-feeds", "not-now"
NOTHING_TO_FEED = "Every run has its supply already; nothing is proposed"
IN_WINDOW = (
    "Kept in this window, and gone when it is closed: the house file is as it was. Undo is in the "
    "drawer, and on U"
)
LOST = "The house file was changed since: the proposed feeds are gone. P proposes anew"
UNDONE = "The proposed feeds are taken back"


def propose(state: State) -> State:
    """Ask for feeds; asked again, the card of what is proposed comes back."""
    if state.facts is None or state.asking is not None:
        return state
    if state.proposal is not None:
        return with_card(state)
    if unwritten(state):
        return replace(state, message=said(WRITE_FIRST))
    if not state.facts.unfed:
        return replace(state, message=said(NOTHING_TO_FEED))
    number = state.asked + 1
    asking = Asking(number, state.kind, state.shown_brightness or 1.0)
    return replace(state, asked=number, asking=asking, planned_share=0.0, no_plan="")


def stop(state: State) -> State:
    """No longer ask."""
    return replace(state, asking=None)


def share_done(state: State, share: float) -> State:
    """So much of the search is done, 0..1."""
    return replace(state, planned_share=share) if state.asking else state


def proposed(state: State, proposal: Proposed) -> State:
    """The answer is there: wires are laid over the house, and a card asks what to do with it."""
    if state.asking is None or state.asking.number != proposal.number:
        return state
    laid = "wires" not in state.overlays
    proposal = replace(proposal, laid=laid)
    state = replace(
        state, asking=None, proposal=proposal, overlays=state.overlays | {"wires"}, selection=None
    )
    return with_card(state)


def not_proposed(state: State, number: int, why: str) -> State:
    """There is no answer, and why; "" where that is told otherwise."""
    if state.asking is None or state.asking.number != number:
        return state
    return replace(state, asking=None, no_plan=why)


def lost(state: State) -> State:
    """The house file is another one now: what was proposed for the old one goes."""
    if state.proposal is None and state.asking is None:
        return state
    state = replace(_without(state), asking=None)
    return replace(state, message=said(LOST))


def accept(state: State) -> State:
    """Keep the proposal in the window's house."""
    if state.proposal is None or state.proposal.accepted:
        return state
    state = _without_card(replace(state, proposal=replace(state.proposal, accepted=True)))
    file = state.proposal.file if state.proposal else ""
    if not file or state.question is not None:
        return replace(state, message=said(IN_WINDOW))
    answers = ((WRITE, f"Write them to {file}"), (NOT_NOW, "Keep them in the window"))
    lines = ("All else in the file stays as it is, comments too.",)
    return replace(state, question=Question("The feeds are kept in this window", lines, answers))


def written(state: State) -> State:
    """The house file has the feeds now; wires stay on show."""
    question = None if is_card(state.question) else state.question
    return replace(state, proposal=None, question=question)


def undo(state: State) -> State:
    """Back to the house as the file has it."""
    if state.proposal is None:
        return state
    return replace(_without(state), message=said(UNDONE))


def answered(state: State, answer: str) -> State:
    """The state after the card was answered; others' answers leave it as it is."""
    return accept(state) if answer == ACCEPT else undo(state) if answer == UNDO else state


def is_card(question: Question | None) -> bool:
    """Whether a question is the card of a proposal."""
    return question is not None and ACCEPT in {key for key, _ in question.answers}


def with_card(state: State) -> State:
    """The card of what is proposed, unless another question waits or it is accepted."""
    proposal = state.proposal
    if proposal is None or proposal.accepted or state.question is not None:
        return state
    answers = ((ACCEPT, "Accept"), (UNDO, "Undo"))
    return replace(state, question=Question(proposal.title, proposal.lines, answers))


def _without(state: State) -> State:
    """Without the proposal, its questions, and the wires if they were laid over for it alone."""
    laid = state.proposal is not None and state.proposal.laid
    overlays = state.overlays - {"wires"} if laid else state.overlays
    return _without_card(replace(state, proposal=None, overlays=overlays))


def _without_card(state: State) -> State:
    keys = {key for key, _ in state.question.answers} if state.question else set()
    if not keys & {ACCEPT, WRITE}:
        return state
    return replace(state, question=pending(state))


def with_proposal_shown(state: State) -> State:
    """After a step back or on: the wires and the card of what is proposed now, none of another."""
    proposal = state.proposal
    if is_card(state.question) or (state.question and WRITE in dict(state.question.answers)):
        state = replace(state, question=pending(state))
    if proposal is None:
        return state
    state = replace(state, overlays=state.overlays | {"wires"}, selection=None)
    return with_card(state)
