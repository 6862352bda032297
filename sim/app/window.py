"""The loop: events become actions, actions a new state, the state a picture."""

from __future__ import annotations

import operator
import os
import sys
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import pygame

from layouts import EvenfallError
from sim.app.commands import Commands
from sim.app.display import ended_by, open_surface
from sim.app.state import actions as act
from sim.app.state.controls import spoken
from sim.app.state.drawing_actions import OpenBoard
from sim.app.state.drawing_keys import drawing_action, drawing_repeats
from sim.app.state.keys import REPEAT_AFTER_S, REPEAT_EVERY_S, Press, action_for, repeats
from sim.app.state.pointer import moved, near_divider, pressed, turned
from sim.app.state.question import question_places
from sim.app.state.record import SCALES, State
from sim.app.state.shown import Shown
from sim.app.state.update import update
from sim.app.state.window_layout import layout
from sim.app.view.board_events import Twice, board_events
from sim.app.view.plain import draw_plain, printable
from sim.app.view.ribbon_events import ribbon_cursor, ribbon_events
from sim.app.view.screen import Screen, places
from sim.app.work.backstage import Backstage
from sim.app.work.guard import Guard, in_words
from sim.app.work.kept import Keeper
from sim.app.work.kept_drawing import DrawingKeeper
from sim.app.work.player import Player
from sim.app.work.recorded_course import RecordedCourse
from sim.app.work.stage import refusal

#: Frames a second of the window; the scheme's own frames come at its own rate.
FPS = 60
#: After an event widgets may still move for this long; then what stands still is not drawn again.
LIVELY_S = 0.5


def run_window(
    house_path: str | Path,
    scheme_path: str | Path | None = None,
    *,
    scale: float | None = None,
    drawing: bool = False,
    recorded: RecordedCourse | None = None,
    ground: str | None = None,
) -> None:
    """Show a house until the window is closed; a scheme beside the house file where none is given.

    `scale` is the size of type, None fits the screen; `drawing` opens its tools; `recorded` is a
    second curve of the ribbon; `ground` is tried out. Raises EvenfallError without a display.
    """
    window: Window | None = None

    def end() -> None:
        if window is None:
            sys.exit(143)
        window.end()

    with ended_by(end):
        try:
            window = Window(house_path, scheme_path, scale=scale)
            window.recorded = recorded
            window.state = replace(window.state, ground=ground or window.state.ground)
            if drawing:
                window.do(OpenBoard())
            window.run()
        finally:
            if window is not None:
                window.close()


class Window:
    """The window and what lives as long as it does."""

    def __init__(
        self,
        house_path: str | Path,
        scheme_path: str | Path | None = None,
        *,
        scale: float | None = None,
        size_px: tuple[int, int] | None = None,
    ):
        self.surface = open_surface(size_px)
        self.state = State(
            str(house_path),
            str(scheme_path) if scheme_path else None,
            size_px=self.surface.get_size(),
            scale=_nearest_scale(scale or pygame.display.get_desktop_sizes()[0][1] / 1440),
        )
        self.running = True
        self.shown: Shown | None = None
        self.fps = 0.0
        self.backstage = Backstage()
        self.recorded: RecordedCourse | None = None
        self.keeper, self.drawings = Keeper(), DrawingKeeper()
        self.guard = Guard(self._fault)
        self._commands = Commands(self)
        self._title = ""
        self._screen, self._player = Screen(), Player()
        self._cursor = pygame.SYSTEM_CURSOR_ARROW
        self._held: tuple[int, act.Action] | None = None  # key and what it repeats
        self._again_s = 0.0
        self._drawn: tuple[object, ...] = ()  # what the last drawing was made from
        self._lively_s = LIVELY_S
        self._twice, self._ribbon_twice = Twice(), Twice()
        self._failed = False  # whether the last frame could not be computed

    def run(self) -> None:
        """Until the window is closed."""
        clock = pygame.time.Clock()
        while self.running:
            seconds = min(clock.tick(FPS) / 1000, 0.25)
            self.fps = clock.get_fps()
            self.step(seconds)

    def end(self) -> None:
        """Close after this turn of the loop without asking; what is unwritten is kept."""
        self.running = False

    def step(self, seconds: float) -> None:
        """Everything of one turn of the loop; `seconds` have passed since the last.

        Whatever fails in a part of it is told; the parts that do not fail go on.
        """
        self.guard.turn(seconds)
        events = self._events()
        for event in events:
            self.guard.run("an event", lambda event=event: self._hear(event), 0.0)  # type: ignore[misc]
        self.guard.run("a key held down", lambda: self._repeat(seconds))
        self.do(act.Tick(seconds))
        self.guard.run("following the files", self._follow)
        self.guard.run("the picture", lambda: self._play(seconds))
        self.guard.run("keeping values", lambda: self.keeper.follow(self.state, seconds))
        self.guard.run("keeping the drawing", lambda: self.drawings.follow(self.state, seconds))
        self._lively_s = LIVELY_S if events else self._lively_s - seconds
        now = (self.state, self.shown, *self.backstage.loads.values())
        same = len(now) == len(self._drawn) and all(map(operator.is_, now, self._drawn))
        if self._lively_s > 0 or not same:
            if self.guard.run("drawing", lambda: self._draw(seconds)):
                self._drawn = now
            elif not self.guard.run("drawing plainly", self._draw_plain):
                self._lively_s = LIVELY_S

    def _events(self) -> list[pygame.event.Event]:
        found: list[pygame.event.Event] = []
        self.guard.run("reading events", lambda: found.extend(pygame.event.get()), 0.0)
        return found

    def _hear(self, event: pygame.event.Event) -> None:
        for action in self._actions(event):
            self.do(action)

    def _follow(self) -> None:
        for action in self.backstage.follow(self.state):
            self.do(action)
        if self.recorded is not None and self.state.facts is not None:
            self.backstage.loads["recorded"] = self.recorded.load(self.state.facts)

    def _fault(self, name: str, error: Exception) -> None:
        """Something failed: what is unsaved is kept at once, and the person is told."""
        self.guard.run("keeping values", lambda: self.keeper.follow(self.state, 60.0))
        self.guard.run("keeping the drawing", lambda: self.drawings.follow(self.state, 60.0))
        self.state = replace(self.state, fault=in_words(name, error))  # `update` may be what failed

    def _draw(self, seconds: float) -> None:
        loads = self.backstage.loads
        self._screen.draw(self.surface, self.state, self.shown, loads, self.fps, seconds)
        revealed = self._screen.reveal(self.state)
        if revealed is not None:
            self.do(revealed)
        self._point()
        self._name()
        pygame.display.flip()

    def _draw_plain(self) -> None:
        """Words on a ground, where the window itself cannot be drawn."""
        draw_plain(self.surface, self.state.fault, self.state.changed, self.keeper.path)
        pygame.display.flip()

    def _play(self, seconds: float) -> None:
        """The frame of now, and its load measured; what cannot be computed is said."""
        stage = self.backstage.stage
        if stage is None or self.backstage.pictures_must_wait:
            return
        try:
            self.shown = self._player.shown(self.state, stage, seconds)
        except EvenfallError as error:
            self.do(refusal(error, self.state.scheme_path or self.state.house_path))
            self._failed = True
            return
        if self._failed:
            self._failed = False
            self.do(act.Refused(()))
        if self.shown.show is not None:
            for action in self.backstage.measure(self.state, stage, self.shown.show):
                self.do(action)

    def do(self, action: act.Action) -> None:
        """Let an action happen. One that fails leaves the state as it was."""
        self.guard.run(type(action).__name__, lambda: self._do(action), 0.0)

    def _do(self, action: act.Action) -> None:
        if isinstance(action, act.FullScreen):
            pygame.display.toggle_fullscreen()
        elif not self._commands.done(action):
            before = self.state.facts
            self.state = update(self.state, action)
            if isinstance(action, act.Loaded):
                self._commands.file_read()
                self._look_for_unsaved(before.scheme_file if before else "")
                if before is None and (left := self.drawings.found(self.state.house_path)):
                    self.do(act.FoundDrawing(left))

    def _look_for_unsaved(self, before: str) -> None:
        """Another scheme is on show: offer what an earlier window left of it."""
        now = self.state.facts.scheme_file if self.state.facts else ""
        if now == before:
            return
        self.keeper.leave()
        left = self.keeper.found(now)
        if left is not None:
            self.do(act.FoundUnsaved(left))

    def close(self) -> bool:
        """End threads and display; whether every thread ended at once.

        What is unsaved is kept, and offered when the scheme is next on show.
        """
        self.keeper.follow(self.state, 60.0)
        self.drawings.follow(self.state, 60.0)
        ended = self.backstage.close()
        pygame.quit()
        return ended

    def _point(self) -> None:
        """The pointer's shape: two arrows where the divider can be taken."""
        wanted = pygame.SYSTEM_CURSOR_ARROW
        if near_divider(self.state, layout(self.state), *pygame.mouse.get_pos()):
            wanted = pygame.SYSTEM_CURSOR_SIZEWE
        wanted = ribbon_cursor(self.state, layout(self.state), *pygame.mouse.get_pos()) or wanted
        if wanted != self._cursor:
            self._cursor = wanted
            with suppress(pygame.error):  # some screens have no such pointer
                pygame.mouse.set_cursor(wanted)

    def _name(self) -> None:
        """The control that has the keys in the window's title, where screen readers look."""
        words = spoken(self.state)
        title = f"Evenfall · {words}" if words else "Evenfall"
        if title != self._title:
            self._title = title
            pygame.display.set_caption(printable(title))

    # --- events ---

    def _actions(self, event: pygame.event.Event) -> Iterator[act.Action]:
        state, parts = self.state, layout(self.state)
        if event.type == pygame.QUIT:
            yield act.Quit()
            return
        if event.type in (pygame.VIDEORESIZE, pygame.WINDOWSIZECHANGED):
            self.surface = pygame.display.get_surface() or self.surface
            yield act.Resize(self.surface.get_size())
            return
        if event.type == pygame.KEYDOWN:
            press = _press(event)
            action = None
            if press is not None:
                drawing = state.board is not None
                action = (drawing_action(state, press, event.unicode) if drawing
                          else action_for(state, press))  # fmt: skip
            if isinstance(action, act.Activate) and state.focus in act.BUTTONS:
                action = act.BUTTONS[state.focus]
            self._held, self._again_s = None, REPEAT_AFTER_S
            if action is not None:
                again = repeats(action) or drawing_repeats(action)
                self._held = (event.key, action) if again else None
                yield action
            return
        if event.type == pygame.KEYUP:
            if self._held is not None and self._held[0] == event.key:
                self._held = None
            return
        widgets = self._screen.widgets
        taken = False
        asked = question_places(state.question, parts).card if state.question else None
        over = asked is not None and asked.holds(*pygame.mouse.get_pos())
        if widgets is not None and not state.help and not over:
            taken = bool(widgets.manager.process_events(event))
            told = widgets.action(event)
            if isinstance(told, str):
                yield act.BUTTONS[told]
            elif told is not None:
                yield told
        if not taken and not state.help and not over:
            told_ribbon, alone = ribbon_events(state, parts, event, self._ribbon_twice)
            yield from told_ribbon
            if alone:
                return
        if state.board is not None and not state.help and not over:
            if not taken:
                yield from board_events(state, parts, self._screen.panel, event, self._twice)
            return
        if event.type == pygame.MOUSEBUTTONUP and event.button == 1 and state.drag:
            yield act.Drag(None)
        elif event.type == pygame.MOUSEBUTTONDOWN and event.button == 1 and not taken:
            at_px = places(self.shown) if self.shown else None
            yield from pressed(state, parts, self._screen.rows, at_px, *event.pos)
        elif event.type == pygame.MOUSEMOTION and state.drag:
            yield from moved(state, parts, self._screen.rows, event.pos, event.rel[1])
        elif event.type == pygame.MOUSEWHEEL and not taken:
            at = pygame.mouse.get_pos()
            yield from turned(state, parts, self._screen.rows, *at, event.y)

    def _repeat(self, seconds: float) -> None:
        """Do again what a key held down does. Not left to SDL: its repeats pile up in a stall."""
        if self._held is None:
            return
        self._again_s -= seconds
        if self._again_s <= 0:
            self._again_s = REPEAT_EVERY_S
            self.do(self._held[1])


def _nearest_scale(wanted: float) -> float:
    """The scale on offer nearest to a wanted one; by itself 100 % up to a screen of 1440 rows."""
    return min(SCALES, key=lambda one: abs(one - wanted))


def _press(event: pygame.event.Event) -> Press | None:
    """A key event as the table names keys."""
    name = pygame.key.name(event.key)
    if not name:
        return None
    shift, ctrl = (
        bool(event.mod & pygame.KMOD_SHIFT),
        bool(event.mod & (pygame.KMOD_CTRL | pygame.KMOD_META)),
    )
    return Press(name, shift, ctrl, bool(event.mod & pygame.KMOD_ALT))
