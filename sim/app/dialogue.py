"""The dialogue of measurements: its loop. Events become a state, that a house and a picture."""

from __future__ import annotations

import gc
import os
from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import pygame

from layouts import EvenfallError
from layouts.forms import FormMeasures
from sim.app.display import ended_by, open_surface
from sim.app.state import measuring as ms
from sim.app.state.forming import FIELD
from sim.app.state.keys import REPEAT_AFTER_S, REPEAT_EVERY_S
from sim.app.state.measuring_keys import Wish, accept, leave, pressed_button, pressed_key
from sim.app.view.brush import Brush, Kit
from sim.app.view.measuring import MeasuringScreen
from sim.app.work.forming_picture import FormAsked, FormPainter
from sim.app.work.guard import in_words
from sim.compiling import share_compiling

#: Writes the house of measures as `new --form` does → the files written.
Write = Callable[[FormMeasures], list[Path]]
FPS = 60
#: Keys whose effect goes on while they are held down.
_HELD = frozenset({"left", "right", "up", "down", "page up", "page down", "backspace"})
#: Turns of the wheel that follow each other faster than this are one step to go back from [s].
WHEEL_REST_S = 0.5


def run_dialogue(
    folder: Path, units: str | None, given: Mapping[str, str], *, lit: bool, write: Write
) -> list[Path] | None:
    """Let a person measure a house, and write it; None where they left.

    `given` are measures to begin with, as typed. Raises EvenfallError where there is no display.
    """
    share_compiling("file")  # its picture is one as for a file
    dialogue = Dialogue(folder, units, given, lit=lit, write=write)
    with ended_by(dialogue.end):
        try:
            clock = pygame.time.Clock()
            while dialogue.running:
                dialogue.step(clock.tick(FPS) / 1000)
        finally:
            dialogue.close()
    return dialogue.written


class Dialogue:
    """The window of the dialogue, as long as it is open."""

    def __init__(
        self, folder: Path, units: str | None, given: Mapping[str, str], *, lit: bool = True,
        write: Write, size_px: tuple[int, int] | None = None, scale: float | None = None,
    ):  # fmt: skip
        self.surface = open_surface(size_px)
        pygame.display.set_caption("Evenfall · house from measurements")
        self.state = replace(
            ms.begun(units or "m", str(folder), given, lit),
            size_px=self.surface.get_size(),
            scale=scale or max(round(4 * pygame.display.get_desktop_sizes()[0][1] / 1440) / 4, 1.0),
        )
        self.running = True
        self.written: list[Path] | None = None
        self.painter, self.screen = FormPainter(), MeasuringScreen()
        self._write, self._kit = write, Kit()
        self._pointer: tuple[int, int] | None = None
        self._again: Callable[[], None] | None = None  # what a key or a button held down does
        self._again_s = self._wheel_s = 0.0
        self._drawn: object = None
        self._settled = False

    def end(self) -> None:
        """Close without asking."""
        self.running = False

    def close(self) -> None:
        """End the thread and the window."""
        self.painter.close()
        gc.unfreeze()
        pygame.quit()

    def step(self, seconds: float) -> None:
        """One turn of the loop; `seconds` have passed since the last."""
        for event in pygame.event.get():
            self._hear(event)
        self._repeat(seconds)
        new = self.painter.follow(self._asked())
        if not self._settled and self.painter.shown is not None and self.painter.shown.exact:
            # All that lives as long as the program is there now. Looking through it for garbage
            # takes some 0.1 s, in which the window would stand still in the middle of a drag.
            self._settled = True
            gc.freeze()
        if new and self.painter.failed is not None:
            told = in_words("The house cannot be drawn", self.painter.failed)
            self.state = replace(self.state, told=told)
        now = (self.state, self._pointer)
        if new or now != self._drawn:
            self._draw()
            self._drawn = (self.state, self._pointer)

    def _asked(self) -> FormAsked:
        state = self.state
        place = ms.picture(state)
        hour = "evening" if state.sight == "bright" else state.sight
        bright = state.sight == "bright"
        return FormAsked(state.forming.measures, hour, bright, (place.w, place.h))

    def _draw(self) -> None:
        brush = Brush(self.surface, self.state.scale, self._kit)
        for _ in range(2):  # a second time where the field that has the keys was out of sight
            self.screen.draw(
                brush, self.state, self.painter.shown, self.painter.facts, self._pointer
            )
            if self.screen.seen.scroll_px == self.state.scroll_px:
                break
            self.state = replace(self.state, scroll_px=self.screen.seen.scroll_px)
        pygame.display.flip()

    # --- events ---

    def _hear(self, event: pygame.event.Event) -> None:
        state = self.state
        if event.type == pygame.QUIT:
            self._take((state, "leave") if state.leaving else leave(state))
        elif event.type in (pygame.VIDEORESIZE, pygame.WINDOWSIZECHANGED):
            self.surface = pygame.display.get_surface() or self.surface
            self.state = replace(state, size_px=self.surface.get_size(), follow=True)
        elif event.type == pygame.KEYDOWN:
            self._pointer = None
            self._key(event)
        elif event.type in (pygame.KEYUP, pygame.MOUSEBUTTONUP):
            self._again = None
            self.state = ms.let_go(state)
        elif event.type == pygame.MOUSEWHEEL:
            self._wheel(event.y)
        elif event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            self._pointer = event.pos
            self._click(event.pos)
        elif event.type == pygame.MOUSEMOTION:
            self._pointer = event.pos

    def _key(self, event: pygame.event.Event) -> None:
        key = pygame.key.name(event.key)
        shift = bool(event.mod & pygame.KMOD_SHIFT)
        ctrl = bool(event.mod & (pygame.KMOD_CTRL | pygame.KMOD_META))

        def press() -> None:
            self._take(pressed_key(self.state, key, shift, ctrl, event.unicode or ""))

        self._hold(press if key in _HELD and not ctrl else None)
        press()

    def _hold(self, again: Callable[[], None] | None) -> None:
        self._again, self._again_s = again, REPEAT_AFTER_S

    def _repeat(self, seconds: float) -> None:
        """Do again what is held down. Not left to SDL: its repeats pile up in a stall."""
        self._again_s -= seconds
        if self._again is not None and self._again_s <= 0:
            self._again_s = REPEAT_EVERY_S
            self._again()
        if self._wheel_s > 0:
            self._wheel_s -= seconds
            if self._wheel_s <= 0:
                self.state = ms.let_go(self.state)

    def _wheel(self, turns: int) -> None:
        """Steps the field that has the keys, if the pointer is on it; else moves the panel."""
        state = self.state
        at = self._pointer or pygame.mouse.get_pos()
        key = self._field_at(at)
        if key == state.focus and state.typed is None and turns:
            self._wheel_s = WHEEL_REST_S
            self.state = ms.stepped(state, key, turns, held=True)
        elif ms.panel(state).holds(*at):
            far = state.scroll_px - turns * ms.px(state, 48)
            far = min(max(far, 0.0), self.screen.seen.most_px)
            self.state = replace(state, scroll_px=far, follow=False)

    def _field_at(self, at: tuple[int, int]) -> str:
        """The field under a place; "" where there is none."""
        for name, place in self.screen.buttons:
            word, _, rest = name.partition(" ")
            if word in ("field", "step", "choose") and place.holds(*at):
                return rest.split(" ")[0]
        return ""

    def _click(self, at: tuple[int, int]) -> None:
        state = replace(self.state, leaving=False) if self.state.leaving else self.state
        found = [name for name, place in self.screen.buttons if place.holds(*at)]
        if self.state.leaving and "leave" in found:
            self.running = False
            return
        self.state = replace(state, told="") if self.state.leaving else state
        if not found:
            self.state = ms.taken(self.state)
            return
        word, _, rest = found[-1].partition(" ")  # steppers lie over their field
        key, _, choice = rest.partition(" ")
        if word == "choose":
            self.state = ms.chosen(self.state, key, choice)
        elif word == "step":
            self._hold(lambda: self._stepped(key, int(choice)))
            self._stepped(key, int(choice))
        elif word == "field":
            switch = FIELD[key].sort == "switch"
            step = ms.stepped(self.state, key, 1) if switch else ms.typing(self.state, key)
            self.state = step
        elif word == "units":
            if key != ms.system(self.state.forming.units):
                self.state = ms.with_units(self.state, key)
        elif word == "sight":
            self.state = ms.with_sight(self.state, next(s for s in ms.SIGHTS if s == key))
        elif word == "accept":
            self._take(accept(self.state))
        else:
            self._take(pressed_button(self.state, word))

    def _stepped(self, key: str, steps: int) -> None:
        self.state = ms.stepped(ms.taken(self.state), key, steps, held=True)

    def _take(self, found: tuple[ms.Measuring, Wish | None]) -> None:
        self.state, wish = found
        if wish == "leave":
            self.running = False
        elif wish == "accept":
            try:
                self.written = self._write(self.state.forming.measures)
            except (EvenfallError, OSError) as error:  # nothing measured is lost by it
                self.state = replace(self.state, told=f"Not written: {error}")
                return
            self.running = False
