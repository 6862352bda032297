"""Breaking and mending for a trial: what is broken, the sheet, what is typed on it. Pure.

The house file never learns of it. Every change is a step of the history.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from sim.app.state.history import stepped
from sim.app.state.mending_offers import fits, same_place
from sim.app.state.mending_record import (
    BeginTyped,
    BreakIt,
    CloseSheet,
    HouseThere,
    LeaveTyped,
    MendAll,
    MendIt,
    MoveOnSheet,
    OpenSheet,
    ScrollSheet,
    SheetPage,
    SheetTyping,
    TakeTyped,
    TypedValue,
    TypeOnSheet,
)
from sim.app.state.numbers import typed_on
from sim.app.state.questions import said
from sim.app.state.record import State
from sim.app.state.sighted_record import SeenLine
from sim.report.wording.faults import fault_label

#: Unit of each value that is typed, and its bounds; a supply's volts are bounded by the supply.
UNITS: Mapping[TypedValue, tuple[str, float, float]] = MappingProxyType(
    {"joint": ("Ω", 0.001, 10_000.0), "short": ("Ω", 0.0, 10_000.0), "sag": ("V", 0.0, 60.0),
     "volts": ("V", 0.0, 60.0), "watts": ("W", 0.0, 100_000.0)}
)  # fmt: skip
_LONGEST = 16
_TYPED = re.compile(r"(-?(?:\d+(?:[.,]\d*)?|[.,]\d+))\s*([mk]?)(Ω|ohm|V|W|)")
_TIMES = {"": 1.0, "m": 1e-3, "k": 1e3}


def sheet_of(state: State) -> SheetPage | None:
    """The page of the sheet that is seen."""
    covered = state.board is not None or state.choosing is not None
    return None if covered else state.mending.page


def broken_now(state: State) -> tuple[Any, ...]:
    """What is broken of the house on show; nothing while it is drawn."""
    return () if state.board is not None else state.mending.faults


def _there(state: State, action: HouseThere) -> State:
    """What another house cannot have is mended, and said."""
    now, house = state.mending, action.house
    kept = tuple(fault for fault in now.faults if fits(fault, house))
    gone = len(now.faults) - len(kept)
    state = replace(state, mending=replace(now, house=house, faults=kept, at=None),
                    sighted=replace(state.sighted, found=None, held=None))  # fmt: skip
    if gone:
        words = f"Mended, as this house has no such part: {gone} of {len(now.faults)} faults"
        state = replace(state, message=said(words))
    return state


def _open(state: State, action: OpenSheet) -> State:
    now = state.mending
    if now.page == action.page and sheet_of(state) is not None:
        return closed(state)
    alone = now.alone if now.page is not None else not state.drawer
    page = replace(now, page=action.page, alone=alone, at=None, scroll=0.0, typing=None)
    touch = state.touch
    if action.page == "seen":  # clicks on the house mark what was seen
        touch = replace(touch, card=None, pixel=None, lit=None)
        state = replace(state, selection=None)
    compare = state.compare and action.page != "seen"
    return replace(state, mending=page, touch=touch, choosing=None, drawer=True, focus=None,
                   number=None, help=False, compare=compare)  # fmt: skip


def closed(state: State) -> State:
    """The house without the sheet."""
    now = state.mending
    shut = replace(now, page=None, typing=None, at=None, scroll=0.0)
    sighted = replace(state.sighted, held=None)
    drawer = state.drawer and not now.alone
    return replace(state, mending=shut, sighted=sighted, drawer=drawer)


# --- breaking and mending ---


def _break(state: State, action: BreakIt) -> State:
    now, fault = state.mending, action.fault
    if fault in now.faults:
        return _mend(state, MendIt(fault))
    kept = tuple(each for each in now.faults if not same_place(each, fault))
    return _stepped(state, (*kept, fault), _named("break", fault, state))


def _mend(state: State, action: MendIt) -> State:
    left = tuple(each for each in state.mending.faults if each != action.fault)
    return _stepped(state, left, _named("mend", action.fault, state))


def _mend_all(state: State, _: MendAll) -> State:
    return _stepped(state, (), "mend all")


def _stepped(state: State, faults: tuple[Any, ...], label: str) -> State:
    return stepped(state, replace(state, mending=replace(state.mending, faults=faults)), label)


def _named(verb: str, fault: Any, state: State) -> str:
    house = state.mending.house
    return f"{verb}: {fault_label(fault, house)}" if house is not None else verb


# --- the sheet ---


def _move(state: State, action: MoveOnSheet) -> State:
    from sim.app.state.mending_sheet import cells_of

    count, at = len(cells_of(state)), state.mending.at
    if not count:
        return state
    start = 0 if action.by > 0 else -1
    to = start if at is None else at + action.by
    return replace(state, mending=replace(state.mending, at=to % count))


def _scroll(state: State, action: ScrollSheet) -> State:
    to = min(max(state.mending.scroll + action.by, 0.0), max(action.limit, 0.0))
    return replace(state, mending=replace(state.mending, scroll=to))


# --- what is typed ---


def _begin(state: State, action: BeginTyped) -> State:
    return replace(state, mending=replace(state.mending, typing=SheetTyping(action.what)))


def _type(state: State, action: TypeOnSheet) -> State:
    held = state.mending.typing
    if held is None:
        return state
    text = typed_on(held.text, action.text, _LONGEST)
    return replace(state, mending=replace(state.mending, typing=replace(held, text=text, wrong="")))


def _leave(state: State, _: LeaveTyped) -> State:
    sighted = replace(state.sighted, point="")
    return replace(state, mending=replace(state.mending, typing=None), sighted=sighted)


def _take(state: State, _: TakeTyped) -> State:
    held = state.mending.typing
    if held is None:
        return state
    if not held.text.strip():
        return _leave(state, LeaveTyped())
    try:
        value = read_typed(held.what, held.text, _supply_volts(state, held.what))
    except ValueError as error:
        wrong = replace(held, wrong=str(error))
        return replace(state, mending=replace(state.mending, typing=wrong))
    now = replace(state.mending, typing=None)
    if held.what == "joint":
        return replace(state, mending=replace(now, joint_ohm=value))
    if held.what == "short":
        return replace(state, mending=replace(now, short_ohm=value))
    if held.what == "sag":
        most = _supply_volts(state, "sag")
        return replace(state, mending=replace(now, sag_share=value / most if most else 1.0))
    from sim.app.state.sighted import added

    sighted = state.sighted
    at = "wall" if held.what == "watts" else sighted.point
    line = SeenLine(held.what, value=value, at=at, during=sighted.during)
    bare = replace(state, mending=now, sighted=replace(sighted, point=""))
    return added(bare, (line,), f"{value:g} {UNITS[held.what][0]} at {at}")


def _supply_volts(state: State, what: TypedValue) -> float | None:
    """[V] of the supply that is about to sag."""
    house, thing = state.mending.house, state.touch.card
    if what != "sag" or house is None or thing is None or thing.form != "supply":
        return None
    return house.supplies[thing.index].volts


def read_typed(what: TypedValue, text: str, most: float | None = None) -> float:
    """The value that a text says. Raises ValueError, in words, where it says none."""
    unit, low, high = UNITS[what]
    high = high if most is None else most
    found = _TYPED.fullmatch(text.strip().replace("\N{OHM SIGN}", "Ω"))
    written = found[3].replace("ohm", "Ω") if found is not None else ""
    if found is None or written not in ("", unit):
        raise ValueError(f"a number such as {0.5 if unit == 'Ω' else 4.3:g} {unit}")
    value = float(found[1].replace(",", ".")) * _TIMES[found[2]]
    if not low <= value <= high:
        raise ValueError(f"between {low:g} and {high:g} {unit}")
    return value


HANDLERS: Mapping[type, Callable[[State, Any], State]] = MappingProxyType(
    {
        HouseThere: _there,
        OpenSheet: _open,
        CloseSheet: lambda state, _: closed(state),
        BreakIt: _break,
        MendIt: _mend,
        MendAll: _mend_all,
        MoveOnSheet: _move,
        ScrollSheet: _scroll,
        BeginTyped: _begin,
        TypeOnSheet: _type,
        TakeTyped: _take,
        LeaveTyped: _leave,
    }
)
