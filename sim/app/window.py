"""The loop: events become actions, actions a new state, the state a picture."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import pygame

from layouts import EvenfallError
from sim.app.commands import Commands
from sim.app.display import Cursor, ended_by, fill_screen, nearest_scale, open_surface
from sim.app.hearing import Hearing
from sim.app.state import actions as act
from sim.app.state.choosing_actions import OpenPage
from sim.app.state.drawing_actions import OpenBoard
from sim.app.state.mending import sheet_of
from sim.app.state.mending_record import HouseThere
from sim.app.state.pointer_shape import pointer_shape
from sim.app.state.record import State
from sim.app.state.same import same
from sim.app.state.shown import Shown
from sim.app.state.titles import title
from sim.app.state.told_aside import with_fault
from sim.app.state.update import update
from sim.app.state.window_layout import layout
from sim.app.view.plain import draw_plain, printable
from sim.app.view.ribbon_events import ribbon_shape
from sim.app.view.screen import Screen
from sim.app.work.backstage import Backstage
from sim.app.work.diagnoser import Diagnoser
from sim.app.work.guard import Guard, in_words
from sim.app.work.heaps import share_heaps
from sim.app.work.kept import Keeper
from sim.app.work.kept_drawing import DrawingKeeper
from sim.app.work.player import Player
from sim.app.work.recorded_course import RecordedCourse
from sim.app.work.share import Sharing
from sim.app.work.small_pictures import SmallPictures
from sim.app.work.stage import refusal
from sim.app.work.turn import quick_switches
from sim.compiling import share_compiling

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
    """Show a house until the window is closed; its schemes to choose from where none is given.

    `scale` is the size of type, None fits the screen; `drawing` opens its tools; `recorded` is a
    second curve of the ribbon; `ground` is tried out. Raises EvenfallError without a display.
    """
    window: Window | None = None
    share_compiling("screen")

    def end() -> None:
        if window is None:
            sys.exit(143)
        window.end()

    with ended_by(end):
        try:
            window = Window(house_path, scheme_path, scale=scale)
            window.recorded = recorded
            if scheme_path is None and not drawing and recorded is None:
                window.do(OpenPage("schemes"))
            window.state = replace(window.state, ground=ground or window.state.ground)
            if drawing:
                window.do(OpenBoard())
            elif scheme_path is not None:
                window.backstage.begin_coarse()
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
        share_heaps()  # before any thread starts
        self.surface = open_surface(size_px)
        self.state = State(
            str(house_path),
            str(scheme_path) if scheme_path else None,
            size_px=self.surface.get_size(),
            scale=nearest_scale(scale or pygame.display.get_desktop_sizes()[0][1] / 1440),
        )
        self.running = True
        self.shown: Shown | None = None
        self.fps = 0.0
        self.backstage, self.sharing, self.small = Backstage(), Sharing(), SmallPictures()
        self.diagnoser = Diagnoser()
        self.recorded: RecordedCourse | None = None
        self.keeper, self.drawings = Keeper(), DrawingKeeper()
        self.guard = Guard(self._fault)
        self._commands = Commands(self)
        self._title = ""
        self._screen, self._player = Screen(), Player()
        self._screen.touch.watched = self.backstage.watched
        self._cursor = Cursor()
        self._drawn: tuple[object, ...] = ()  # what the last drawing was made from
        self._lively_s = LIVELY_S
        self._hearing = Hearing(self._screen)
        self._failed = False  # whether the last frame could not be computed

    def run(self) -> None:
        """Until the window is closed."""
        clock = pygame.time.Clock()
        with quick_switches():
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
        with self.backstage.turn.taken():
            self._turn(seconds)

    def _turn(self, seconds: float) -> None:
        self.guard.turn(seconds)
        events = self._events()
        for event in events:
            self.guard.run("an event", lambda event=event: self._hear(event), 0.0)  # type: ignore[misc]
        if (again := self._hearing.again(seconds)) is not None:
            self.do(again)
        self.do(act.Tick(seconds))
        self.guard.run("following the files", self._follow)
        self.guard.run("the picture", lambda: self._play(seconds))
        self.guard.run("keeping values", lambda: self.keeper.follow(self.state, seconds))
        self.guard.run("keeping the drawing", lambda: self._keep_drawing(seconds))
        self._lively_s = LIVELY_S if events else self._lively_s - seconds
        stages = (*self.backstage.loads.values(), *self.backstage.watched.values())
        now = (*_seen(self.state), self.shown, self.small.beat, *stages)
        if self._lively_s > 0 or not same(now, self._drawn) or self._screen.moving:
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
        for action in self.diagnoser.follow(self.state, self.backstage.stage):
            self.do(action)
        fine = self.shown if self.shown is not None and not self.shown.stage.coarse else None
        for action in self.sharing.follow(self.state, fine):
            self.do(action)
        self._screen.making = not self.backstage.made_all
        self.small.follow(self.state, self.backstage.stage)
        if self.recorded is not None and self.state.facts is not None:
            self.backstage.loads["recorded"] = self.recorded.load(self.state.facts)

    def _fault(self, name: str, error: Exception) -> None:
        """Something failed: what is unsaved is kept at once, and the person is told."""
        self.guard.run("keeping values", lambda: self.keeper.follow(self.state, 60.0))
        self.guard.run("keeping the drawing", lambda: self.drawings.follow(self.state, 60.0))
        self.state = with_fault(self.state, in_words(name, error))  # `update` may be what failed

    def _draw(self, seconds: float) -> None:
        loads = self.backstage.loads
        small = self.small
        self._screen.lively = self._lively_s > 0
        self._screen.draw(
            self.surface, self.state, self.shown, loads, self.fps, seconds, small.films, small.now_s
        )
        revealed = self._screen.reveal(self.state)
        if revealed is not None:
            self.do(revealed)
        self._point()
        self._name()
        pygame.display.flip()

    def redraw(self) -> None:
        """Draw at once, without waiting for the turn's end."""
        self._draw(0.0)

    def _draw_plain(self) -> None:
        """Words on a ground, where the window itself cannot be drawn."""
        draw_plain(self.surface, self.state.fault, self.state.changed, self.keeper.path)
        pygame.display.flip()

    def _play(self, seconds: float) -> None:
        """The frame of now, and its load measured; what cannot be computed is said."""
        stage = self.backstage.stage or self.backstage.coarse
        page = self.state.choosing
        covered = page is not None and page.page == "schemes" and self.shown is not None
        if stage is None or covered or self.backstage.pictures_must_wait:
            self.backstage.desk.pause()
            return
        try:
            self.shown = self._player.shown(self.state, stage, seconds)
        except EvenfallError as error:
            self.backstage.desk.pause()
            self.do(refusal(error, self.state.scheme_path or self.state.house_path))
            self._failed = True
            return
        if (things := self._screen.touch.news(self.shown)) is not None:
            self.do(things)
            self.do(HouseThere(self.shown.left_house))
        if self._failed:
            self._failed = False
            self.do(act.Refused(()))
        if self.shown.show is not None and not stage.coarse:
            for action in self.backstage.measure(self.state, stage, self.shown.show):
                self.do(action)

    def do(self, action: act.Action) -> None:
        """Let an action happen. One that fails leaves the state as it was."""
        self.guard.run(type(action).__name__, lambda: self._do(action), 0.0)

    def _do(self, action: act.Action) -> None:
        if isinstance(action, act.FullScreen):
            if not fill_screen():
                self.do(act.Say("This screen cannot be filled by a window"))
        elif not self._commands.done(action):
            before = self.state.facts
            self.state = update(self.state, action)
            if isinstance(action, act.Loaded):
                self._commands.file_read()
                self._look_for_unsaved(before.scheme_file if before else "")
                if before is None and (left := self.drawings.found(self.state.house_path)):
                    self.do(act.FoundDrawing(left))

    def _keep_drawing(self, seconds: float) -> None:
        self.drawings.follow(self.state, seconds)
        if (left := self.drawings.next(self.state.house_path)) is not None:
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
        threads = (self.backstage, self.sharing, self.small, self._player, self.diagnoser)
        ended = all([one.close() for one in threads])
        pygame.quit()
        return ended

    def _point(self) -> None:
        """The pointer's shape: a hand, or arrows where something can be dragged."""
        screen, parts = self._screen, layout(self.state)
        touch, at = screen.touch.touchable, pygame.mouse.get_pos()
        pressed = (*screen.buttons, *(spot.place for spot in screen.spots))
        shape = pointer_shape(self.state, parts, screen.rows, pressed, touch, at)
        self._cursor.show(ribbon_shape(self.state, parts, *at) or shape)

    def _name(self) -> None:
        """What is on show, and the control that has the keys, where screen readers look."""
        sheet = self._screen.sheet.spoken if sheet_of(self.state) is not None else ""
        words = title(self.state, sheet or self._screen.touch.spoken)
        if words != self._title:
            self._title = words
            pygame.display.set_caption(printable(words))

    # --- events ---

    def _actions(self, event: pygame.event.Event) -> Iterator[act.Action]:
        if event.type == pygame.QUIT:
            yield act.Quit()
            return
        if event.type in (pygame.VIDEORESIZE, pygame.WINDOWSIZECHANGED):
            self.surface = pygame.display.get_surface() or self.surface
            yield act.Resize(self.surface.get_size())
            return
        yield from self._hearing.actions(lambda: self.state, event)


def _seen(state: State) -> tuple[object, ...]:
    """All that is drawn of a state. While a scheme plays its time is seen only with its picture."""
    flows = state.playing and state.drag is None
    return tuple(None if flows and name == "time_s" else value
                 for name, value in vars(state).items())  # fmt: skip
