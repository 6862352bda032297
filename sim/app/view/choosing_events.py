"""What the mouse means on a page of choosing."""

from __future__ import annotations

from collections.abc import Iterator

import pygame

from sim.app.state import actions as act
from sim.app.state.choosing_actions import ClosePage, OpenPage, PointAtPart, ScrollPage
from sim.app.state.choosing_pages import on_page, sheet
from sim.app.state.choosing_update import action_of_part
from sim.app.state.number_actions import BeginNumber
from sim.app.state.record import State
from sim.app.state.window_layout import Layout, Rect

#: How wide the arrow is that makes a value less [px at 100 %], and how far from the right it ends.
LESS_END = 118


def choosing_events(
    state: State, parts: Layout, event: pygame.event.Event
) -> Iterator[act.Action] | None:
    """The actions of one event; None where it is none of the page's."""
    if state.choosing is None or state.help:
        return None
    if state.drag is not None:
        return None
    if event.type not in (pygame.MOUSEBUTTONDOWN, pygame.MOUSEMOTION, pygame.MOUSEWHEEL):
        return None
    at = event.pos if event.type != pygame.MOUSEWHEEL else pygame.mouse.get_pos()
    found = sheet(state, parts)
    if not found.place.holds(*at):
        left = event.type == pygame.MOUSEMOTION and state.choosing.at is not None
        return iter((PointAtPart(None),)) if left else None
    return _on_sheet(state, parts, event, at)


def close_place(place: Rect, px: float) -> Rect:
    """Where the cross of a page stands [px]; `px` is the scale."""
    side = round(30 * px)
    return Rect(place.right - side - round(12 * px), place.y + round(9 * px), side, side)


def back_place(place: Rect, px: float) -> Rect:
    """Where the way back to the list of layers stands."""
    return Rect(place.x + round(10 * px), place.y + round(9 * px), round(30 * px), round(30 * px))


def _on_sheet(
    state: State, parts: Layout, event: pygame.event.Event, at: tuple[int, int]
) -> Iterator[act.Action]:
    assert state.choosing is not None
    found = sheet(state, parts)
    part = on_page(found, state, parts.scale, *at)
    if event.type == pygame.MOUSEWHEEL:
        yield ScrollPage(-56 * event.y)
    elif event.type == pygame.MOUSEMOTION:
        yield PointAtPart(part.key if part else None)
    elif event.button == 1:
        if close_place(found.place, parts.scale).holds(*at):
            yield OpenPage(state.choosing.page)
        elif state.choosing.within and back_place(found.place, parts.scale).holds(*at):
            yield ClosePage()
        elif part is not None and part.less is not None:
            yield PointAtPart(part.key)
            right = found.body.x + part.place.right - at[0]
            change = part.less if right > parts.px(LESS_END) else part.more
            typed = parts.px(28) < right < parts.px(LESS_END)
            slides = part.key in ("opacity", "from", "until", "ease")
            if typed and slides:
                yield BeginNumber(f"{part.number}.{part.key}")
            elif right <= parts.px(LESS_END + 30) and change is not None:
                yield change
        elif part is not None:
            yield action_of_part(state, part.key)
