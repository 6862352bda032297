"""What is broken for a trial and what was seen, in the history. Pure."""

from __future__ import annotations

from dataclasses import replace

from sim.app.state.history_record import Trial
from sim.app.state.mending_offers import fits
from sim.app.state.record import State


def trial_step(before: State, after: State) -> tuple[Trial, Trial] | None:
    """What a step changed of it; None where it changed nothing."""
    ends = _trial(before), _trial(after)
    return ends if ends[0] != ends[1] else None


def tried_again(state: State, trial: Trial) -> State:
    """The state with that broken and seen; what the house on show cannot have is left out."""
    faults, seen = trial
    house = state.mending.house
    there = tuple(fault for fault in faults if house is None or fits(fault, house))
    return replace(
        state,
        mending=replace(state.mending, faults=there),
        sighted=replace(state.sighted, seen=seen),
    )


def _trial(state: State) -> Trial:
    return state.mending.faults, state.sighted.seen
