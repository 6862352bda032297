"""The buttons of a card: a table. What is added here stands in the card, in this order.

A row says of which cards it is, what stands on it, and which action it means; None leaves it out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sim.app.state.actions import Action, Back, Select
from sim.app.state.mending import sheet_of
from sim.app.state.mending_record import OpenSheet
from sim.app.state.record import State
from sim.app.state.touch_record import OpenThing, Thing


@dataclass(frozen=True)
class CardButton:
    """One button. `forms` are "run", "wire", "supply", "pixel"; `thing` is what the card is of."""

    id: str
    label: str
    forms: tuple[str, ...]
    action: Callable[[State, Thing | None], Action | None]


def _this_pixel(state: State, _: Thing | None) -> Action | None:
    return None if state.touch.pixel is None else Select(state.touch.pixel)


def _its_run(state: State, thing: Thing | None) -> Action | None:
    """From a pixel back to the card of the run it is on."""
    if state.touch.card is not None:
        return Back()
    if state.selection is None or state.facts is None:
        return None
    for each, first in zip(state.touch.things, state.touch.firsts, strict=True):
        held = each.index < len(state.facts.runs) and each.form == "run"
        if held and 0 <= state.selection - first < state.facts.runs[each.index].count:
            return OpenThing(each, state.selection)
    return None


def _break(state: State, thing: Thing | None) -> Action | None:
    """The sheet of what can break there; none of a pixel whose run is not open."""
    shown = sheet_of(state) == "break"
    return None if shown or thing is None else OpenSheet("break")


#: The table.
CARD_BUTTONS: tuple[CardButton, ...] = (
    CardButton("this-pixel", "This pixel", ("run",), _this_pixel),
    CardButton("its-run", "The whole run", ("pixel",), _its_run),
    CardButton("break", "Break", ("run", "wire", "supply", "pixel"), _break),
)


def buttons_of(state: State, form: str, thing: Thing | None) -> tuple[tuple[str, Action], ...]:
    """(label, action) of every button of a card."""
    found = []
    for button in CARD_BUTTONS:
        action = button.action(state, thing) if form in button.forms else None
        if action is not None:
            found.append((button.label, action))
    return tuple(found)
