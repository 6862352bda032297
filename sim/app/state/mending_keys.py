"""Keys while the sheet stands open: its own first, then those of the window. Pure."""

from __future__ import annotations

from sim.app.state.actions import Action
from sim.app.state.keys import Press, action_for, typing_action
from sim.app.state.mending import sheet_of
from sim.app.state.mending_record import (
    CloseSheet,
    LeaveTyped,
    MoveOnSheet,
    ScrollSheet,
    TakeTyped,
    TypeOnSheet,
)
from sim.app.state.mending_sheet import cells_of
from sim.app.state.record import State

_MOVES: dict[str, Action] = {
    "up": MoveOnSheet(-1), "down": MoveOnSheet(1), "tab": MoveOnSheet(1),
    "page up": ScrollSheet(-300.0), "page down": ScrollSheet(300.0), "escape": CloseSheet(),
}  # fmt: skip


def sheet_key(state: State, press: Press, letters: str) -> Action | None:
    """What a key does; None where it does nothing. Only while `sheet_of` has a page."""
    assert sheet_of(state) is not None
    if press.ctrl or press.alt or state.help:
        return action_for(state, press)
    if state.mending.typing is not None:
        return typing_action(press, letters, TakeTyped(), LeaveTyped(), TypeOnSheet)
    if state.question is not None and press.key in ("1", "2", "3", "escape"):
        return action_for(state, press)
    if press.key == "tab" and press.shift:
        return MoveOnSheet(-1)
    if press.key in _MOVES and not press.shift:
        return _MOVES[press.key]
    at = state.mending.at
    if at is not None and press.key in ("return", "enter", "space"):
        cells = cells_of(state)
        return cells[at].action if at < len(cells) else None
    return action_for(state, press)
