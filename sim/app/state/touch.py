"""How touching goes: lit, opened, a pixel closer, and back. Pure."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

from layouts import House
from sim.app.state.record import State
from sim.app.state.touch_record import (
    LookCloser,
    MoreOfCard,
    OpenThing,
    PointAt,
    StepTouch,
    Thing,
    ThingsThere,
)


def things_of(house: House) -> ThingsThere:
    """Everything that can be touched: runs in the order of the house, each supply with the wires
    that leave it, then the wires between runs and junctions."""
    runs = [Thing("run", number, run.name) for number, run in enumerate(house.runs)]
    wires = [Thing("wire", number, wire.label) for number, wire in enumerate(house.wires)]
    found, left = list(runs), list(wires)
    for number, supply in enumerate(house.supplies):
        found.append(Thing("supply", number, supply.name))
        for wire in list(left):
            ends = (house.wires[wire.index].start, house.wires[wire.index].end)
            if any(end.kind == "supply" and end.name == supply.name for end in ends):
                found.append(wire)
                left.remove(wire)
    things = (*found, *left)
    firsts = tuple(house.runs[each.index].first if each.form == "run" else -1 for each in things)
    return ThingsThere(things, firsts)


def _things_there(state: State, action: ThingsThere) -> State:
    """What is gone from the house is neither lit nor open any more."""
    touch = state.touch
    there = set(action.things)
    card = touch.card if touch.card in there else None
    fits = card is not None and card == touch.card and action.firsts == touch.firsts
    return replace(
        state,
        touch=replace(
            touch, things=action.things, firsts=action.firsts, card=card,
            lit=touch.lit if touch.lit in there else None,
            pixel=touch.pixel if fits else _first(action, card),
        ),
    )  # fmt: skip


def _first(there: ThingsThere, thing: Thing | None) -> int | None:
    if thing is None or thing.form != "run" or thing not in there.things:
        return None
    return there.firsts[there.things.index(thing)]


def _point_at(state: State, action: PointAt) -> State:
    if action.thing == state.touch.lit and not state.touch.by_keys:
        return state
    return replace(state, touch=replace(state.touch, lit=action.thing, by_keys=False))


def _open(state: State, action: OpenThing) -> State:
    thing, touch = action.thing, state.touch
    there = ThingsThere(touch.things, touch.firsts)
    pixel = action.pixel if action.pixel is not None else _first(there, thing)
    lit = thing if touch.by_keys else touch.lit
    touch = replace(touch, card=thing, pixel=pixel if thing else None, lit=lit, part=0)
    return replace(state, touch=touch, selection=None, focus=None)


def _step(state: State, action: StepTouch) -> State:
    touch = state.touch
    if not touch.things:
        return state
    now = touch.card or touch.lit
    if now in touch.things:
        at = (touch.things.index(now) + action.by) % len(touch.things)
    else:
        at = 0 if action.by > 0 else len(touch.things) - 1
    thing = touch.things[at]
    state = replace(state, touch=replace(touch, lit=thing, by_keys=True))
    return _open(state, OpenThing(thing)) if touch.card is not None else state


def _look_closer(state: State, _: LookCloser) -> State:
    touch = state.touch
    if touch.card is not None:
        return state if touch.pixel is None else replace(state, selection=touch.pixel)
    if touch.lit is None:
        return _step(state, StepTouch(1))
    return _open(state, OpenThing(touch.lit))


def _more_of_card(state: State, _: MoreOfCard) -> State:
    return replace(state, touch=replace(state.touch, part=state.touch.part + 1))


def closer_left(state: State) -> State | None:
    """One level back: from a pixel to its run's card, from a card to the house; None where nothing
    is touched."""
    touch = state.touch
    if touch.card is not None:
        lit = touch.card if touch.by_keys else touch.lit
        return replace(state, touch=replace(touch, card=None, pixel=None, lit=lit))
    if touch.by_keys and touch.lit is not None:
        return replace(state, touch=replace(touch, lit=None, by_keys=False))
    return None


HANDLERS: Mapping[type, Callable[[State, Any], State]] = MappingProxyType(
    {
        ThingsThere: _things_there,
        PointAt: _point_at,
        OpenThing: _open,
        StepTouch: _step,
        LookCloser: _look_closer,
        MoreOfCard: _more_of_card,
    }
)
