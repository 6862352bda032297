"""What the mouse means while the sheet stands open: on it, and marks on the house."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import pygame

from sim.app.state import actions as act
from sim.app.state.mending import sheet_of
from sim.app.state.mending_record import LeaveTyped, ScrollSheet
from sim.app.state.question import asked_at
from sim.app.state.record import State
from sim.app.state.sighted_record import HoldSeen, LetGoSeen, PointVolts
from sim.app.state.touch_places import TouchPlaces
from sim.app.state.touch_pointer import Touchable
from sim.app.state.touch_record import PointAt, Thing
from sim.app.state.window_layout import Layout
from sim.app.view.mending_sheet import MendingSheet

#: From so near an end of a run a hand means it [px at 100 %].
_SNAP = 4.0


def mending_events(
    state: State, parts: Layout, sheet: MendingSheet, touch: Touchable, event: pygame.event.Event
) -> Iterator[act.Action] | None:
    """The actions of one event; None where it is none of the sheet's."""
    page = sheet_of(state)
    if page is None or state.help:
        return None
    if event.type not in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEMOTION, pygame.MOUSEBUTTONUP,
                          pygame.MOUSEWHEEL):  # fmt: skip
        return None
    at = event.pos if event.type != pygame.MOUSEWHEEL else pygame.mouse.get_pos()
    if page == "seen" and state.drag == "seen":
        return _drawn(state, parts, touch, event)
    if state.drag is not None:
        return None
    if parts.drawer.holds(*at):
        return _on_sheet(state, sheet, event)
    if page == "seen" and parts.picture.holds(*at) and not asked_at(state, parts, *at):
        return _on_house(state, parts, touch, event)
    return None


def _on_sheet(state: State, sheet: MendingSheet, event: pygame.event.Event) -> Iterator[act.Action]:
    """What can be pressed is pressed by its spot; the rest of the sheet lets nothing through."""
    if event.type == pygame.MOUSEWHEEL:
        yield ScrollSheet(-56.0 * event.y, sheet.limit / state.scale)
    elif event.type == pygame.MOUSEBUTTONDOWN and state.mending.typing is not None:
        yield LeaveTyped()
    elif event.type == pygame.MOUSEMOTION and state.touch.lit is not None:
        yield PointAt(None)


def _on_house(
    state: State, parts: Layout, touch: Touchable, event: pygame.event.Event
) -> Iterator[act.Action]:
    places = touch.places
    if places is None:
        return
    found = under(places, parts, event.pos, state.sighted.tool == "volts") \
        if event.type in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEMOTION) else None  # fmt: skip
    if event.type == pygame.MOUSEMOTION:
        thing = found[0] if found is not None else None
        if thing != state.touch.lit:
            yield PointAt(thing)
    elif event.type == pygame.MOUSEBUTTONDOWN and event.button == 1 and found is not None:
        thing, pixel = found
        if pixel is not None:
            yield HoldSeen(thing.index, pixel)
        elif thing.form == "supply":
            yield PointVolts(thing.name)


def under(
    places: TouchPlaces, parts: Layout, at: tuple[int, int], boxes: bool
) -> tuple[Thing, int | None] | None:
    """The run and pixel nearest to a point of the screen, or the box of a supply."""
    x, y = at[0] - parts.picture.x, at[1] - parts.picture.y
    thing = places.under(x, y, boxes)
    if thing is None or thing.form == "wire":
        thing = places.under(x, y, False)
    if thing is None:
        return None
    return thing, at_end(places, thing, x, y)


def at_end(places: TouchPlaces, thing: Thing, x: float, y: float) -> int | None:
    """The pixel of a run nearest to a point; the last or first of it from a few px away.

    Pixels lie closer than a hand can point, and most stretches end where the run does.
    """
    pixel = places.pixel(thing, x, y)
    if pixel is None:
        return None
    first = places.first[thing.index]
    for end in (first + places.count[thing.index] - 1, first):
        if np.hypot(*(places.at_px[end] - places.at_px[pixel])) <= _SNAP * places.scale:
            return end
    return pixel


def _drawn(
    state: State, parts: Layout, touch: Touchable, event: pygame.event.Event
) -> Iterator[act.Action]:
    """The stretch that is held follows the pointer along its run, however far away that is."""
    held, places = state.sighted.held, touch.places
    if event.type == pygame.MOUSEBUTTONUP and event.button == 1:
        yield LetGoSeen()
    elif event.type == pygame.MOUSEMOTION and held is not None and places is not None:
        x, y = event.pos[0] - parts.picture.x, event.pos[1] - parts.picture.y
        house = state.mending.house
        if house is None or held.run >= len(house.runs):
            return
        pixel = at_end(places, Thing("run", held.run, house.runs[held.run].name), x, y)
        if pixel is not None and pixel != held.last:
            yield HoldSeen(held.run, pixel)
