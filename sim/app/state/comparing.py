"""Two kinds of pixel side by side."""

from __future__ import annotations

from dataclasses import replace

from sim.app.state.record import State


def compare(state: State, on: bool) -> State:
    """Comparing needs another kind: the first that has a white channel where this has none, or
    the other way round."""
    facts = state.facts
    other = state.other
    if on and facts and other is None:
        shown = {state.kind} if state.kind else set(facts.own_kinds)
        white = any("rgbw" in kind for kind in shown)
        others = [kind for kind in facts.kinds if kind not in shown]
        across = [kind for kind in others if ("rgbw" in kind) != white]
        other = next(iter(across or others), None)
    return replace(state, compare=on, other=other)
