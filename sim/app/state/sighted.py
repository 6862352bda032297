"""Marking what was seen on the house, and what the outcomes of tests add. Pure."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from layouts import House
from layouts.sightings import LOOKS
from sim.app.state.history import stepped
from sim.app.state.mending_record import SheetTyping
from sim.app.state.record import State
from sim.app.state.sighted_record import (
    AddSeen,
    Diagnosed,
    DropAllSeen,
    DropSeen,
    HoldSeen,
    LetGoSeen,
    PickDuring,
    PickTool,
    PointVolts,
    SeenHeld,
    SeenLine,
    TurnOnwards,
    TurnRepair,
)

if TYPE_CHECKING:
    from sim.upkeep.diagnosis import NextTest

_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_SAID = {"dark": "dark", "wrong": "of a wrong colour", "flickers": "flickers", "lit": "lit"}


def seen_words(line: SeenLine) -> str:
    """A sighting as a person says it."""
    during = "" if line.during == "scheme" else f", {line.during}"
    if line.what in LOOKS:
        where = f"{line.text} and all behind" if line.onwards else line.text
        return f"{where}: {_SAID[line.what]}{during}"
    if line.what == "volts":
        return f"{line.at}: {line.value:g} V{during}"
    if line.what == "watts":
        return f"at the wall: {line.value:g} W{during}"
    tried = {"fuse": "fuse of", "swap": "other port for", "bridge": "data led to"}[line.what]
    return f"{tried} {line.text}: {line.then}{during}"


def added(state: State, lines: tuple[SeenLine, ...], label: str) -> State:
    """The state with sightings more; what was said of the same place in the same light goes."""
    kept = tuple(each for each in state.sighted.seen if not any(_same(each, n) for n in lines))
    return _seen(state, (*kept, *lines), f"seen: {label}")


def _same(one: SeenLine, other: SeenLine) -> bool:
    looks = one.what in LOOKS and other.what in LOOKS
    kind = looks or one.what == other.what
    return (
        kind
        and (one.text, one.at, one.onwards) == (other.text, other.at, other.onwards)
        and one.during == other.during
    )


def _seen(state: State, seen: tuple[SeenLine, ...], label: str) -> State:
    return stepped(state, _with(state, seen=seen), label)


def stretch_text(house: House, held: SeenHeld) -> str:
    """A stretch as files name it: the whole run by its name."""
    run = house.runs[held.run]
    first, last = sorted((held.first - run.first, held.last - run.first))
    if (first, last) == (0, run.count - 1):
        return run.name
    return f"{run.name}[{first}]" if first == last else f"{run.name}[{first}:{last + 1}]"


def _hold(state: State, action: HoldSeen) -> State:
    held = state.sighted.held
    if held is None or held.run != action.run:
        held = SeenHeld(action.run, action.pixel, action.pixel)
    return replace(
        state, sighted=replace(state.sighted, held=replace(held, last=action.pixel)), drag="seen"
    )


def _let_go(state: State, _: LetGoSeen) -> State:
    """Marked again as it was, a mark goes."""
    house, now = state.mending.house, state.sighted
    state = replace(state, sighted=replace(now, held=None), drag=None)
    if now.held is None or house is None or now.held.run >= len(house.runs):
        return state
    text = stretch_text(house, now.held)
    if now.tool == "volts":
        run = house.runs[now.held.run]
        return _point(state, PointVolts(f"{run.name}[{now.held.last - run.first}]"))
    onwards = now.onwards and now.held.first == now.held.last
    line = SeenLine(now.tool, text, onwards, during=now.during)
    if line in now.seen:
        return _drop(state, DropSeen(line))
    return added(state, (line,), seen_words(line))


def _point(state: State, action: PointVolts) -> State:
    typing = replace(state.mending, typing=SheetTyping("volts"))
    during = action.during or state.sighted.during
    sighted = replace(state.sighted, point=action.at, during=during)
    return replace(state, sighted=sighted, mending=typing)


def _add(state: State, action: AddSeen) -> State:
    return added(state, action.lines, "; ".join(seen_words(line) for line in action.lines))


def _drop(state: State, action: DropSeen) -> State:
    left = tuple(line for line in state.sighted.seen if line != action.line)
    return _seen(state, left, f"not seen: {seen_words(action.line)}")


def _diagnosed(state: State, action: Diagnosed) -> State:
    """What came too late, of other sightings or another house, is dropped."""
    now = state.sighted
    if action.house is not state.mending.house or action.seen != now.seen:
        return state
    return replace(state, sighted=replace(now, found=action.found, found_of=action.seen,
                                          wrong=action.wrong))  # fmt: skip


def outcome_lines(test: NextTest, result: str) -> tuple[SeenLine, ...]:
    """The sightings that an outcome of a test is."""
    if test.test == "look":
        if result == "all lit":
            return (SeenLine("lit", test.at, during=test.during),)
        parts = [part.rpartition(" ") for part in result.split("; ") if part != "…"]
        return tuple(SeenLine(look, where, during=test.during) for where, _, look in parts)
    if test.test in ("volts", "watts"):
        numbers = [float(each) for each in _NUMBER.findall(result)]
        value = round(sum(numbers) / len(numbers), 3)
        return (SeenLine(test.test, value=value, at=test.at, during=test.during),)
    return (SeenLine(test.test, test.at, then=result, during=test.during),)


def _with(state: State, **changes: Any) -> State:
    return replace(state, sighted=replace(state.sighted, **changes))


HANDLERS: Mapping[type, Callable[[State, Any], State]] = MappingProxyType(
    {
        PickTool: lambda state, action: _with(state, tool=action.tool),
        TurnOnwards: lambda state, _: _with(state, onwards=not state.sighted.onwards),
        PickDuring: lambda state, action: _with(state, during=action.during),
        TurnRepair: lambda state, _: _with(state, repair=not state.sighted.repair),
        HoldSeen: _hold,
        LetGoSeen: _let_go,
        PointVolts: _point,
        AddSeen: _add,
        DropSeen: _drop,
        DropAllSeen: lambda state, _: _seen(state, (), "forget what was seen"),
        Diagnosed: _diagnosed,
    }
)
