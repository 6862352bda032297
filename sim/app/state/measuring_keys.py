"""Keys of the dialogue of measurements. Pure."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from sim.app.state import measuring as ms
from sim.app.state.forming import FIELD
from sim.app.state.measuring import Measuring

Wish = Literal["accept", "leave"]
_STEPS = {"left": -1, "down": -1, "right": 1, "up": 1, "page up": 10, "page down": -10}


def pressed_key(
    state: Measuring, key: str, shift: bool = False, ctrl: bool = False, text: str = ""
) -> tuple[Measuring, Wish | None]:
    """The state after a key, as SDL names it, and what it asks of the loop. `text` is typed."""
    if state.leaving:
        if key in ("return", "enter"):
            return state, "leave"
        return replace(state, leaving=False, told=""), None
    if ctrl:
        if key == "z":
            return (ms.redone(state) if shift else ms.undone(state)), None
        return (ms.redone(state) if key == "y" else state), None
    if key == "tab":
        return ms.next_focus(state, -1 if shift else 1), None
    if key in ("return", "enter"):
        if state.typed is not None:
            return ms.taken(state), None
        return pressed_button(state, state.focus if state.focus in ms.BUTTONS else "accept")
    if key == "escape":
        return (ms.dropped(state), None) if state.typed is not None else leave(state)
    if key in _STEPS:
        return _arrow(state, _STEPS[key]), None
    if key == "f2":
        return ms.typing(state, state.focus), None
    if key in ("backspace", "delete") and ms.typeable(state.focus) is not None:
        return ms.rubbed(state), None
    if key == "space" and state.typed is None and ms.typeable(state.focus) is None:
        if state.focus in ms.BUTTONS:
            return pressed_button(state, state.focus)
        return ms.stepped(state, state.focus, 1), None
    return (ms.letter(state, text) if text else state), None


def pressed_button(state: Measuring, name: str) -> tuple[Measuring, Wish | None]:
    """One of the buttons, by mouse or by keys."""
    if name == "accept":
        return accept(state)
    if name == "leave":
        return leave(state)
    if name == "undo":
        return ms.undone(state), None
    if name == "redo":
        return ms.redone(state), None
    if name == "units":
        return ms.with_units(state, ms.other_units(state)), None
    assert name == "sight"
    return _next_sight(state, 1), None


def accept(state: Measuring) -> tuple[Measuring, Wish | None]:
    """The house is as it is meant, if it is one; else the keys go to what is wrong."""
    state = ms.taken(state)
    if state.forming.complete:
        return state, "accept"
    first = next((key for key, _ in state.forming.wrong if key in ms.order(state)), state.focus)
    label = FIELD[first].label if ms.wrong_with(state, first) else "above"
    told = f"Not yet: see {label}"
    return replace(ms.focused(state, first), told=told, follow=True), None


def leave(state: Measuring) -> tuple[Measuring, Wish | None]:
    """Leave at once where nothing was measured; else ask."""
    if not state.past and not state.future and state.typed is None:
        return state, "leave"
    return replace(state, leaving=True, told=ms.LEAVE), None


def _arrow(state: Measuring, steps: int) -> Measuring:
    if state.focus == "units":
        return ms.with_units(state, ms.other_units(state))
    if state.focus == "sight":
        return _next_sight(state, steps)
    if state.focus not in FIELD:
        return ms.next_focus(state, 1 if steps > 0 else -1)
    state = ms.taken(state)
    if FIELD[state.focus].sort in ("choice", "switch", "count"):
        steps = 1 if steps > 0 else -1
    return ms.stepped(state, state.focus, steps, held=True)


def _next_sight(state: Measuring, steps: int) -> Measuring:
    every = tuple(ms.SIGHTS)
    return ms.with_sight(state, every[(every.index(state.sight) + steps) % len(every)])
