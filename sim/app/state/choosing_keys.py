"""Keys while a page of choosing stands open: its own first, then those of the window. Pure."""

from __future__ import annotations

from sim.app.state.actions import Action
from sim.app.state.choosing_actions import ClosePage, ScrollPage, StepParts, TypeOnPage
from sim.app.state.choosing_pages import TYPED
from sim.app.state.choosing_update import action_of_part
from sim.app.state.drawing_keys import drawing_action
from sim.app.state.keys import Press, action_for, typing_action
from sim.app.state.mending import sheet_of
from sim.app.state.mending_keys import sheet_key
from sim.app.state.number_actions import BeginNumber, LeaveNumber, TakeNumber, TypeNumber
from sim.app.state.record import State

_MOVES: dict[str, Action] = {
    "up": StepParts(down=-1), "down": StepParts(down=1), "left": StepParts(across=-1),
    "right": StepParts(across=1), "tab": StepParts(down=1), "page up": ScrollPage(-300.0),
    "page down": ScrollPage(300.0), "escape": ClosePage(),
}  # fmt: skip


def action_of_key(state: State, press: Press, letters: str) -> Action | None:
    """What a key does, whatever stands open; `letters` is what it types."""
    if state.number is not None:
        return typing_action(press, letters, TakeNumber(), LeaveNumber(), TypeNumber)
    if state.board is not None:
        return drawing_action(state, press, letters)
    if state.choosing is not None:
        return choosing_action(state, press, letters)
    if sheet_of(state) is not None:
        return sheet_key(state, press, letters)
    return action_for(state, press)


def choosing_action(state: State, press: Press, letters: str) -> Action | None:
    """What a key does; `letters` is what it types."""
    page = state.choosing
    assert page is not None
    asked = state.question is not None and press.key in ("1", "2", "3", "escape")
    if press.ctrl or press.alt or state.help or asked:
        return action_for(state, press)
    if press.key == "tab" and press.shift:
        return StepParts(down=-1)
    if press.key in _MOVES and not (press.shift and page.page not in TYPED):
        return _MOVES[press.key]
    found = page.at if page.page == "layers" else None
    if press.key == "return" and found in ("opacity", "from", "until", "ease"):
        return BeginNumber(f"{page.layer}.{found}")
    if press.key == "return" or (press.key == "space" and page.page not in TYPED and page.at):
        return action_of_part(state, page.at)
    if page.page in TYPED:
        if press.key == "backspace":
            return TypeOnPage("")
        if letters and letters.isprintable():
            return TypeOnPage(letters)
    return action_for(state, press)
