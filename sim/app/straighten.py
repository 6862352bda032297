"""The stage that straightens a photograph: its loop. Events become a state, the state a picture."""

from __future__ import annotations

import os
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

os.environ.setdefault("PYGAME_HIDE_SUPPORT_PROMPT", "1")

import pygame

from layouts import EvenfallError
from layouts.photograph.file_head import picture_size
from sim.app.display import ended_by, open_surface
from sim.app.state import straightening as st
from sim.app.state.straightening_fit import fit_of, flags, viewer_flag
from sim.app.state.straightening_keys import Wish, accept, leave, pressed_key, typed_in
from sim.app.view.brush import Brush, Kit
from sim.app.view.straightening import StraighteningScreen
from sim.light.photo_file import open_photo

#: Writes the house of the flags of `new --photo`: points, eaves, lengths, viewer → files.
Write = Callable[[list[str], list[str], list[str], str | None], list[Path]]
FPS = 60
#: A photograph at least twice as large on its shorter side is shown smaller by whole parts.
SHORTER_PX = 3000


def run_straightening(
    photo: Path, units: str | None, write: Write, viewer: str | None = None
) -> list[Path] | None:
    """Let a person mark what is known, and write the house; None where they left.

    Raises EvenfallError where there is no display, or the file is no photograph.
    """
    stage = PhotoStage(photo, units, write)
    stage.state = replace(stage.state, viewer=viewer or "")
    with ended_by(stage.end):
        try:
            clock = pygame.time.Clock()
            while stage.running:
                clock.tick(FPS)
                stage.step()
        finally:
            pygame.quit()
    return stage.written


class PhotoStage:
    """The window of the stage, as long as it is open."""

    def __init__(
        self, photo: Path, units: str | None, write: Write,
        size_px: tuple[int, int] | None = None, scale: float | None = None,
    ):  # fmt: skip
        image = open_photo(str(photo), at_least_px=SHORTER_PX)
        self.surface = open_surface(size_px)
        pygame.display.set_caption(f"Evenfall · straighten {photo.name}")
        seen = image.convert("RGB")
        del image  # one of them at a time
        picture = pygame.image.frombytes(seen.tobytes(), seen.size, "RGB")
        self.screen = StraighteningScreen(picture.convert(self.surface))
        self.state = replace(
            st.begun(picture_size(photo), units or "m", photo.name),
            size_px=self.surface.get_size(),
            scale=scale or max(round(4 * pygame.display.get_desktop_sizes()[0][1] / 1440) / 4, 1.0),
        )
        self.running, self.written = True, None
        self._write, self._kit = write, Kit()
        self._pointer: tuple[int, int] | None = None
        self._pan = False
        self._drawn: object = None

    written: list[Path] | None

    def end(self) -> None:
        """Close without asking."""
        self.running = False

    def step(self) -> None:
        """One turn of the loop."""
        for event in pygame.event.get():
            self._hear(event)
        now = (self.state, self._pointer)
        if now != self._drawn:
            brush = Brush(self.surface, self.state.scale, self._kit)
            self.screen.draw(brush, self.state, self._pointer)
            pygame.display.flip()
            self._drawn = now

    def _hear(self, event: pygame.event.Event) -> None:
        state = self.state
        if event.type == pygame.QUIT:
            if state.leaving:
                self._wish("leave")
            else:
                self._take(leave(state))
        elif event.type in (pygame.VIDEORESIZE, pygame.WINDOWSIZECHANGED):
            self.surface = pygame.display.get_surface() or self.surface
            self.state = replace(state, size_px=self.surface.get_size())
        elif event.type == pygame.KEYDOWN:
            self._pointer = None
            ctrl = bool(event.mod & (pygame.KMOD_CTRL | pygame.KMOD_META))
            shift = bool(event.mod & pygame.KMOD_SHIFT)
            self._take(
                pressed_key(state, pygame.key.name(event.key), shift, ctrl, event.unicode or "")
            )
        elif event.type == pygame.MOUSEWHEEL:
            at = self._pointer or pygame.mouse.get_pos()
            self.state = st.zoomed(state, 1.25**event.y, *at)
        elif event.type == pygame.MOUSEBUTTONDOWN:
            self._pressed(event)
        elif event.type == pygame.MOUSEBUTTONUP:
            self._pan = False
            self.state = st.let_go(state)
        elif event.type == pygame.MOUSEMOTION:
            self._pointer = event.pos
            if self._pan:
                self.state = st.panned(state, *event.rel)
            elif st.picture(state).holds(*event.pos) or state.held:
                self.state = st.pointed(state, *event.pos)

    def _pressed(self, event: pygame.event.Event) -> None:
        self._pointer = event.pos
        state = self.state
        if st.picture(state).holds(*event.pos):
            if event.button in (2, 3):
                self._pan = True
            elif event.button == 1:
                state = typed_in(state) if state.typed is not None else state
                if state.typed is None:
                    state = st.pressed(replace(state, leaving=False), *event.pos)
                self.state = state
        elif event.button == 1:
            for name, place in self.screen.buttons:
                if place.holds(*event.pos):
                    self._press(name)
                    break

    def _press(self, name: str) -> None:
        word, _, which = name.partition(" ")
        state = self.state
        if word == "tool":
            kind = next(kind for kind in st.TOOLS if kind == which)
            self.state = st.with_tool(state, kind)
        elif word == "shape":
            chosen = st.taken(state, st.Handle(int(which), 0))
            shape = chosen.shapes[int(which)]
            typed = None if shape.kind == "eave" else shape.text
            self.state = st.in_sight(replace(chosen, typed=typed))
        elif word == "undo":
            self.state = st.undone(state)
        elif word == "redo":
            self.state = st.redone(state)
        elif word == "grid":
            self.state = replace(state, grid=not state.grid)
        elif word == "viewer":
            self.state = replace(state, viewer_typed=state.viewer, typed=None, told="")
        elif word == "leave":
            self._take(leave(state) if not state.leaving else (state, "leave"))
        elif word == "accept":
            self._take(accept(state))

    def _take(self, found: tuple[st.Straightening, Wish | None]) -> None:
        self.state, wish = found
        if wish is not None:
            self._wish(wish)

    def _wish(self, wish: Wish) -> None:
        """Leave, or write; what cannot be written is told, and nothing marked is lost."""
        if wish == "leave":
            self.running = False
            return
        state = self.state
        fit = fit_of(state.shapes, state.units, state.photo_px)
        try:
            self.written = self._write(
                *flags(state.shapes, state.units, fit), viewer_flag(state.viewer, state.units)
            )
        except (EvenfallError, OSError) as error:
            self.state = replace(state, told=f"Not written: {error}")
            return
        self.running = False
