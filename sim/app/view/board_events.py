"""What the mouse does while one draws, as actions; the ribbon stays what it is."""

from __future__ import annotations

from collections.abc import Iterator

import pygame

from sim.app.state import actions as act
from sim.app.state.drawing_actions import LetGo
from sim.app.state.drawing_layout import PanelPart
from sim.app.state.drawing_pointer import TWICE_S, board_moved, board_pressed, board_turned
from sim.app.state.pointer import moved, pressed
from sim.app.state.record import State
from sim.app.state.touch_pointer import Touchable
from sim.app.state.window_layout import Layout


class Twice:
    """Tells the second of two presses in one place."""

    def __init__(self) -> None:
        self._at: tuple[int, int] = (-100, -100)
        self._when_s = -10.0

    def again(self, at: tuple[int, int], now_s: float) -> bool:
        """Whether a press at a place [px] and time [s] is the second of a double click."""
        near = abs(at[0] - self._at[0]) <= 4 and abs(at[1] - self._at[1]) <= 4
        twice = near and now_s - self._when_s <= TWICE_S
        self._at, self._when_s = at, -10.0 if twice else now_s
        return twice


def board_events(
    state: State, parts: Layout, panel: tuple[PanelPart, ...], event: pygame.event.Event,
    twice: Twice,
) -> Iterator[act.Action]:  # fmt: skip
    """The actions of one event of the mouse."""
    if event.type == pygame.MOUSEBUTTONUP and event.button == 1 and state.drag:
        if state.drag == "board":
            yield LetGo()
        yield act.Drag(None)
    elif event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
        if parts.ribbon.holds(*event.pos):
            yield from pressed(state, parts, (), Touchable(), *event.pos)
            return
        also = bool(pygame.key.get_mods() & (pygame.KMOD_SHIFT | pygame.KMOD_CTRL))
        second = twice.again(event.pos, pygame.time.get_ticks() / 1000)
        yield from board_pressed(state, parts, panel, *event.pos, also=also, twice=second)
    elif event.type == pygame.MOUSEMOTION:
        if state.drag == "ribbon":
            yield from moved(state, parts, (), event.pos, event.rel[1])
            return
        pan = bool(event.buttons[1] or event.buttons[2])
        yield from board_moved(state, parts, event.pos, event.rel, pan)
    elif event.type == pygame.MOUSEWHEEL:
        yield from board_turned(state, parts, panel, *pygame.mouse.get_pos(), event.y)
