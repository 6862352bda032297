"""Values typed with their unit: "0.4 m/s", "40 %", "12 ft". Pure."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from effects.quantity import quantity
from sim.app.state.actions import Action, Set
from sim.app.state.controls import Control, any_control
from sim.app.state.layers import ALWAYS, Value
from sim.app.state.number_actions import (
    BeginNumber,
    LeaveNumber,
    NumberAction,
    NumberField,
    TypeNumber,
    UsualValue,
)
from sim.app.state.record import State

#: No value is longer than this.
LONGEST = 24


def numbered_by_hand(
    state: State, action: NumberAction, update: Callable[[State, Action], State]
) -> State:
    """The state after an action of a number field; `update` gives a control its value."""
    if isinstance(action, BeginNumber):
        found = any_control(state, action.control)
        if found is None or found.form not in ("slider", "field"):
            return state
        return replace(state, number=NumberField(action.control))
    if isinstance(action, UsualValue):
        found = any_control(state, action.control or state.focus or "")
        if found is None or found.usual is None:
            return state
        return update(replace(state, number=None, drag=None), Set(found.id, found.usual))
    field = state.number
    if field is None:
        return state
    if isinstance(action, LeaveNumber):
        return replace(state, number=None)
    if isinstance(action, TypeNumber):
        text = typed_on(field.text, action.text, LONGEST)
        return replace(state, number=replace(field, text=text, wrong=""))
    found = any_control(state, field.control)
    if found is None or not field.text.strip():
        return replace(state, number=None)
    try:
        value = read_value(found, field.text)
    except ValueError as error:
        if action.or_leave:
            return replace(state, number=None)
        return replace(state, number=replace(field, wrong=str(error)))
    return update(replace(state, number=None), Set(found.id, value))


def typed_on(text: str, more: str, longest: int) -> str:
    """What is typed, with letters more; without its last where there are none."""
    return (text + more)[:longest] if more else text[:-1]


def read_value(control: Control, text: str) -> Value:
    """The value that a text says for a control. Raises ValueError, in words, where it says none."""
    text = text.strip()
    if control.form == "field" and text.casefold() == "always" and not control.id.endswith("ease"):
        return ALWAYS
    value = _number(control, text)
    if control.whole and value != round(value):
        raise ValueError("a whole number")
    if not control.low <= value <= control.high:
        raise ValueError(f"between {told(control, control.low)} and {told(control, control.high)}")
    return value


def told(control: Control, value: float) -> str:
    """A value as a person would type it."""
    if control.unit == "%":
        return f"{100 * value:g} %"
    return f"{value:g} {control.unit}".rstrip()


def _number(control: Control, text: str) -> float:
    unit = control.unit
    try:
        plain = float(text.replace("\N{MINUS SIGN}", "-"))
    except ValueError:
        pass
    else:
        if plain != plain or plain in (float("inf"), float("-inf")):
            raise ValueError(_example(control))
        return plain / 100 if unit == "%" else plain
    if unit == "EV" and text.casefold().endswith("ev"):
        return _number(control, text[:-2].strip())
    try:
        return quantity(text, "" if unit in ("%", "EV") else unit)
    except ValueError:
        raise ValueError(_example(control)) from None


def _example(control: Control) -> str:
    """What could be typed instead: the value it has, as an example."""
    now = told(control, float(control.value)) if control.value != ALWAYS else "2 s"
    return f"a number such as {now}"
