"""Events of the window as actions, whatever stands open; and what a key held down does again."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import pygame

from sim.app.state import actions as act
from sim.app.state.choosing_keys import action_of_key
from sim.app.state.drawing_keys import drawing_repeats
from sim.app.state.keys import REPEAT_AFTER_S, REPEAT_EVERY_S, repeats
from sim.app.state.number_actions import TakeNumber, UsualValue
from sim.app.state.pointer import moved, pressed, slider_at, turned
from sim.app.state.question import asked_at
from sim.app.state.record import State
from sim.app.state.touch_pointer import pointed
from sim.app.state.window_layout import Layout, layout
from sim.app.view.board_events import Twice, board_events
from sim.app.view.chips import action_at
from sim.app.view.choosing_events import choosing_events
from sim.app.view.mending_events import mending_events
from sim.app.view.presses import press_of
from sim.app.view.ribbon_events import ribbon_events
from sim.app.view.screen import Screen

#: While the list of keys is open these move it [px at 100 %].
_SCROLLS = {"up": -66.0, "down": 66.0, "page up": -330.0, "page down": 330.0,
            "home": -1e6, "end": 1e6}  # fmt: skip


class Hearing:
    """Keeps the key that is held down, and when was pressed last."""

    def __init__(self, screen: Screen) -> None:
        self._screen = screen
        self._held: tuple[int, act.Action] | None = None  # key and what it repeats
        self._again_s = 0.0
        self._twice, self._ribbon_twice = Twice(), Twice()

    def again(self, seconds: float) -> act.Action | None:
        """What a key held down does now; not left to SDL: its repeats pile up in a stall."""
        if self._held is None:
            return None
        self._again_s -= seconds
        if self._again_s > 0:
            return None
        self._again_s = REPEAT_EVERY_S
        return self._held[1]

    def actions(self, now: Callable[[], State], event: pygame.event.Event) -> Iterator[act.Action]:
        """What an event means; `now` is asked again where an action was given in between."""
        state = now()
        if event.type == pygame.KEYDOWN:
            yield from self._key(state, event)
        elif event.type == pygame.KEYUP:
            if self._held is not None and self._held[0] == event.key:
                self._held = None
        else:
            yield from self._pointer(now, event)

    def _key(self, state: State, event: pygame.event.Event) -> Iterator[act.Action]:
        press = press_of(event)
        if state.help and press is not None and press.key in _SCROLLS:
            yield act.ScrollHelp(_SCROLLS[press.key], self._screen.help_limit)
            return
        action = action_of_key(state, press, event.unicode) if press is not None else None
        if isinstance(action, act.Activate) and state.focus in act.BUTTONS:
            action = act.BUTTONS[state.focus]
        if isinstance(action, act.Back) and self._screen.shut_list():
            return
        self._held, self._again_s = None, REPEAT_AFTER_S
        if action is not None:
            again = repeats(action) or drawing_repeats(action)
            self._held = (event.key, action) if again else None
            yield action

    def _pointer(self, now: Callable[[], State], event: pygame.event.Event) -> Iterator[act.Action]:
        state = now()
        parts = layout(state)
        if state.help and event.type == pygame.MOUSEWHEEL:
            yield act.ScrollHelp(-66.0 * event.y, self._screen.help_limit)
            return
        if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            spot = action_at(self._screen.spots, *event.pos)
            if spot is not None:
                yield spot
                return
        widgets = self._screen.widgets
        taken = False
        over = asked_at(state, parts, *pygame.mouse.get_pos())
        if widgets is not None and not state.help and not over:
            taken = bool(widgets.manager.process_events(event))
            told = widgets.action(event)
            if isinstance(told, str):
                yield act.BUTTONS[told]
            elif told is not None:
                yield told
        if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1 and state.number:
            yield TakeNumber(or_leave=True)
            state = now()
        if not taken and not state.help and not over:
            told_ribbon, alone = ribbon_events(state, parts, event, self._ribbon_twice)
            yield from told_ribbon
            if alone:
                return
        touch = self._screen.touch.touchable
        marked = None if over else mending_events(state, parts, self._screen.sheet, touch, event)
        if marked is not None:
            yield from marked
            return
        chosen = None if taken or over else choosing_events(state, parts, event)
        if chosen is not None:
            yield from chosen
            return
        if state.board is not None and not state.help and not over:
            if not taken:
                yield from board_events(state, parts, self._screen.panel, event, self._twice)
            return
        yield from self._on_house(state, parts, event, taken)

    def _on_house(
        self, state: State, parts: Layout, event: pygame.event.Event, taken: bool
    ) -> Iterator[act.Action]:
        if event.type == pygame.MOUSEBUTTONUP and event.button == 1 and state.drag:
            yield act.Drag(None)
        elif event.type == pygame.MOUSEBUTTONDOWN and event.button == 1 and not taken:
            second = self._twice.again(event.pos, pygame.time.get_ticks() / 1000)
            slider = slider_at(state, parts, self._screen.rows, *event.pos)
            if second and slider is not None:
                yield UsualValue(slider[0].id)
                return
            touch = self._screen.touch.touchable
            yield from pressed(state, parts, self._screen.rows, touch, *event.pos)
        elif event.type == pygame.MOUSEMOTION and state.drag:
            yield from moved(state, parts, self._screen.rows, event.pos, event.rel[1])
        elif event.type in (pygame.MOUSEMOTION, pygame.WINDOWLEAVE):
            at = event.pos if event.type == pygame.MOUSEMOTION else None
            yield from pointed(state, parts, self._screen.touch.touchable, at)
        elif event.type == pygame.MOUSEWHEEL and not taken:
            at = pygame.mouse.get_pos()
            yield from turned(state, parts, self._screen.rows, *at, event.y)
