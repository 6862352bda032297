"""What stays to be seen on the picture in a few words: filters, what waits, what is saved. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import PurePath
from typing import Literal

from sim.app.state import actions as act
from sim.app.state.mending import broken_now
from sim.app.state.mending_record import MendAll, OpenSheet
from sim.app.state.record import State
from sim.app.state.told_aside import marks


@dataclass(frozen=True)
class ChipWords:
    """One chip: what it says, what a click on it does, and what one on its cross does."""

    form: Literal["warning", "filter", "making", "saved"]
    text: str
    action: act.Action
    cross: act.Action | None = None
    share: float = 0.0  # of what is being made


def chip_words(state: State) -> tuple[ChipWords, ...]:
    """From the most to the least pressing."""
    feedback = state.feedback
    found = [ChipWords("warning", words, act.TellAgain()) for words in marks(state)]
    if faults := len(broken_now(state)):
        things = "1 thing is" if faults == 1 else f"{faults} things are"
        text = f"{things} broken for a trial"
        found.append(ChipWords("warning", text, OpenSheet("broken"), MendAll()))
    making = feedback.making
    if making is not None:
        text = f"Making a {making.what} … {100 * making.share:.0f} %   Esc stops it"
        stop = act.StopSharing()
        found.append(ChipWords("making", text, stop, stop, making.share))
    elif feedback.saved_on and feedback.saved:
        text = f"{PurePath(feedback.saved).name}   Open its folder"
        found.append(ChipWords("saved", text, act.OpenFolder(), act.HushSaved()))
    if (alone := _filtered(state)) and state.board is None:
        show = act.ShowAllLayers()
        found.append(ChipWords("filter", alone, show, show))
    return tuple(found)


def _filtered(state: State) -> str:
    """Which layers alone are on show, or how many are not; "" where all are."""
    facts = state.facts
    if facts is None:
        return ""
    if state.only is not None and state.only in facts.marks:
        index = facts.marks.index(state.only)
        layer = facts.layers[index]
        return f"Only layer {index + 1}: {layer.effect} on {', '.join(layer.zones)}"
    hidden = [index + 1 for index, mark in enumerate(facts.marks) if mark in state.hidden]
    if not hidden:
        return ""
    which = "Layer" if len(hidden) == 1 else "Layers"
    return f"{which} {', '.join(map(str, hidden))} hidden"
