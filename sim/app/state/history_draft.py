"""Drawings in the history: their texts as differences, the youngest whole. Pure."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from sim.app.state.history_record import DraftLike, DraftStep, Step
from sim.app.state.history_text import backwards, forwards, text_step


def draft_step(before: DraftLike | None, after: DraftLike | None) -> DraftStep | None:
    """What changed from one drawing to another; None where nothing did."""
    if _alike(before, after):
        return None
    if before is None or after is None:
        return DraftStep(None, whole=after if before is None else before, near=(before, after))
    return DraftStep(
        text_step(before.text.encode(), after.text.encode()),
        (before.digest, after.digest),
        near=(before, after),
    )


def redrawn(draft: DraftLike | None, step: DraftStep, back: bool) -> tuple[DraftLike | None] | None:
    """The drawing set back or on, in a tuple of one; None where the drawing is another since."""
    if step.near is not None:
        here, there = (step.near[1], step.near[0]) if back else step.near
        return (there,) if _alike(draft, here) else None
    if step.text is None:
        assert step.whole is not None
        if draft is None:
            return (step.whole,)
        return (None,) if _alike(draft, step.whole) else None
    if draft is None or draft.digest != step.digests[1 if back else 0]:
        return None
    text = (backwards if back else forwards)(step.text, draft.text.encode())
    if text is None:
        return None
    return (with_text(draft, text.decode(), step.digests[0 if back else 1]),)


def with_text(draft: Any, text: str, digest: str) -> DraftLike:
    """The drawing with another text, for another content of the file."""
    made: DraftLike = replace(draft, text=text, digest=digest)
    return made


def without_near(step: Step) -> Step:
    """The step without whole drawings, where their difference is enough."""
    if step.draft is None or step.draft.near is None:
        return step
    return replace(step, draft=replace(step.draft, near=None))


def _alike(one: DraftLike | None, two: DraftLike | None) -> bool:
    if one is None or two is None:
        return one is two
    return one is two or (one.text, one.digest) == (two.text, two.digest)
