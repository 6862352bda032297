"""Events of the mouse in the ribbon, as actions."""

from __future__ import annotations

import pygame

from sim.app.state import actions as act
from sim.app.state.pointer_shape import PointerShape
from sim.app.state.record import State
from sim.app.state.ribbon_actions import PointAtTime
from sim.app.state.ribbon_places import mark_under, on_axis
from sim.app.state.ribbon_pointer import DRAGS, ribbon_moved, ribbon_pressed, ribbon_turned
from sim.app.state.window_layout import Layout
from sim.app.view.board_events import Twice

_BUTTONS = (1, 3)


def ribbon_events(
    state: State, parts: Layout, event: pygame.event.Event, twice: Twice
) -> tuple[list[act.Action], bool]:
    """The actions of an event, and whether it was the ribbon's alone."""
    if state.facts is None:
        return [], False
    if event.type == pygame.WINDOWLEAVE and state.ribbon.hover_s is not None:
        return [PointAtTime(None)], False
    if event.type == pygame.MOUSEBUTTONUP and event.button in _BUTTONS and state.drag in DRAGS:
        return [act.Drag(None)], True
    if event.type == pygame.MOUSEMOTION:
        held = state.drag in DRAGS
        if held or (state.drag is None and parts.ribbon.holds(*event.pos)):
            return list(ribbon_moved(state, parts, *event.pos)), True
        return [PointAtTime(None)] if state.ribbon.hover_s is not None else [], False
    mods = pygame.key.get_mods()
    shift, ctrl = bool(mods & pygame.KMOD_SHIFT), bool(mods & (pygame.KMOD_CTRL | pygame.KMOD_META))
    if event.type == pygame.MOUSEBUTTONDOWN and event.button in _BUTTONS:
        if not parts.ribbon.holds(*event.pos):
            return [], False
        part = event.button == 3 or shift
        second = not part and twice.again(event.pos, pygame.time.get_ticks() / 1000)
        return list(ribbon_pressed(state, parts, *event.pos, part=part, twice=second)), True
    if event.type == pygame.MOUSEWHEEL:
        at = pygame.mouse.get_pos()
        if parts.ribbon.holds(*at):
            turned = ribbon_turned(state, parts, *at, event.y, ctrl=ctrl, shift=shift)
            return list(turned), True
    return [], False


def ribbon_shape(state: State, parts: Layout, x: int, y: int) -> PointerShape | None:
    """The pointer's shape over the ribbon; None: the usual one."""
    if state.facts is None or state.help or not parts.ribbon.holds(x, y):
        return None
    if mark_under(state, parts, x, y) is not None:
        return "hand"
    if state.ribbon.window is not None and on_axis(parts, x, y):
        return "across"
    return None
