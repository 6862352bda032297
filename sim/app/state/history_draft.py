"""Drawings in the history: the youngest whole, older ones as the difference of texts. Pure.

While a drawing is dragged its text is not written out; so no text is asked for here before a step
is old enough to be made small.
"""

from __future__ import annotations

from dataclasses import replace

from layouts import EvenfallError
from sim.app.edit.draft import draft_from_text
from sim.app.state.history_record import DraftLike, DraftStep, HistoryStep
from sim.app.state.history_text import backwards, forwards, text_step


def draft_step(before: DraftLike | None, after: DraftLike | None) -> DraftStep | None:
    """What changed from one drawing to another; None where nothing did."""
    return None if before is after else DraftStep((before, after))


def redrawn(draft: DraftLike | None, step: DraftStep, back: bool) -> tuple[DraftLike | None] | None:
    """The drawing set back or on, in a tuple of one; None where the drawing is another since."""
    here, there = (step.ends[1], step.ends[0]) if back else step.ends
    if step.text is None:
        return (there,) if _alike(draft, here) else None
    if draft is None or draft.digest != step.digests[1 if back else 0]:
        return None
    text = (backwards if back else forwards)(step.text, draft.text.encode())
    if text is None:
        return None
    try:
        return (draft_from_text(text.decode(), draft.file, step.digests[0 if back else 1]),)
    except EvenfallError:  # what it says of other files does not hold any more
        return None


def made_small(step: HistoryStep) -> HistoryStep:
    """The step with the difference of two drawings in place of both."""
    held = step.draft
    if held is None or held.text is not None:
        return step
    before, after = held.ends
    if before is None or after is None:
        return step
    try:
        text = text_step(before.text.encode(), after.text.encode())
    except EvenfallError:  # a text that cannot be edited stays the drawing that it is
        return step
    return replace(step, draft=DraftStep((None, None), text, (before.digest, after.digest)))


def _alike(one: DraftLike | None, two: DraftLike | None) -> bool:
    if one is None or two is None or one is two:
        return one is two
    return (one.text, one.digest) == (two.text, two.digest)
