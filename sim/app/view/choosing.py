"""The pages of choosing, drawn: small living pictures, swatches, the list of layers."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

import numpy as np
import pygame

from sim.app.state.choosing_pages import (
    HEAD,
    PAD,
    SEARCH,
    TITLES,
    TYPED,
    PageSheet,
    Part,
    on_screen_of,
    sheet,
)
from sim.app.state.record import State
from sim.app.state.window_layout import Layout, Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.choosing_events import back_place, close_place
from sim.app.view.choosing_parts import DRAWN, chevron
from sim.app.view.kept_surfaces import octets_of
from sim.app.view.picture_surface import surface_of

#: So much of small pictures in the size they are shown in, and as made, is kept [octets].
MOST_OCTETS = 96 << 20


class LivingPicture(Protocol):
    """A small picture in time."""

    @property
    def title(self) -> str:
        """What stands beneath it."""
        ...

    @property
    def problem(self) -> str:
        """Why there is none; "" where there is nothing wrong."""
        ...

    def image(self, now_s: float) -> np.ndarray | None:
        """The picture (H, W, 3) uint8 of a time [s]; None before it is made."""


class ChoosingScreen:
    """Draws the page that stands open; keeps small pictures in the size they are shown in."""

    def __init__(self) -> None:
        self._fitted: dict[tuple[int, int, int], tuple[np.ndarray, pygame.Surface]] = {}
        self.octets, self.most_octets = 0, MOST_OCTETS  # of what is kept

    def draw(
        self,
        brush: Brush,
        state: State,
        parts: Layout,
        films: Mapping[str, LivingPicture],
        now_s: float,
    ) -> None:
        """The page, in its place."""
        page = state.choosing
        assert page is not None
        found = sheet(state, parts)
        if found.place.x >= state.size_px[0]:
            return
        whole = page.page == "schemes"
        brush.fill(found.place, theme.NIGHT if whole else theme.PANEL)
        _head(brush, state, found, whole)
        before = brush.surface.get_clip()
        brush.surface.set_clip(pygame.Rect(found.body))
        shift = found.body.y - round(page.scroll * parts.scale)
        for part in (one for one in found.parts if not one.fixed):
            place = part.place._replace(x=part.place.x + found.body.x, y=part.place.y + shift)
            if place.bottom < found.body.y or place.y > found.body.bottom:
                continue
            pointed = part.key == page.at
            if part.form in ("scheme", "effect"):
                self._film(brush, part, place, pointed, films.get(part.key), now_s)
            else:
                DRAWN[part.form](brush, state, part, place, pointed)
        _thumb(brush, found, page.scroll * parts.scale)
        brush.surface.set_clip(before)
        if found.foot:
            _pinned(brush, state, found)
        if not whole:
            brush.down(found.place.x, found.place.y, found.place.bottom)
            told = next((one for one in found.parts if one.key == page.at), None)
            if told is not None and told.form == "effect":
                _foot(brush, found, told.value)

    def _film(
        self,
        brush: Brush,
        part: Part,
        place: Rect,
        pointed: bool,
        film: LivingPicture | None,
        now_s: float,
    ) -> None:
        px = brush.px
        seen = Rect(place.x, place.y, place.w, place.w * 9 // 16)
        image = film.image(now_s) if film else None
        if image is not None:
            brush.surface.blit(self._surface(image, (seen.w, seen.h)), (seen.x, seen.y))
        else:
            brush.fill(seen, theme.PANEL if part.form == "scheme" else theme.NIGHT)
            words = "cannot be read" if film and film.problem else "…"
            brush.text(words, seen.x + seen.w // 2, seen.y + seen.h // 2 - px(10), theme.FAINT,
                       theme.SMALL, align="centre")  # fmt: skip
        if pointed or part.on:
            around = seen.inset(-px(2), -px(2), -px(2), -px(2))
            brush.frame(around, theme.AMBER if part.on else theme.WARM, radius=4, width=2)
        else:
            brush.frame(seen, theme.LINE)
        large = part.form == "scheme"
        size = theme.TITLE if large and seen.w >= px(240) else theme.BODY if large else theme.SMALL
        y = seen.bottom + px(8 if large else 4)
        room = seen.w
        if part.on:
            word = "on show" if large else "now"
            box = brush.text(word, seen.right, y + px(2 if large else 0), theme.AMBER, theme.SMALL,
                             align="right")  # fmt: skip
            room -= box.w + px(8)
        colour = theme.WARM if pointed or part.on else theme.QUIET
        brush.text(film.title if film else part.text, seen.x, y, colour, size,
                   bold=large and (pointed or part.on), width=room)  # fmt: skip

    def _surface(self, image: np.ndarray, size: tuple[int, int]) -> pygame.Surface:
        key = (id(image), *size)
        held = self._fitted.get(key)
        if held is not None and held[0] is image:
            return held[1]
        if self.octets + image.nbytes + 4 * size[0] * size[1] > self.most_octets:
            self.forget()
        made = surface_of(image)
        if made.get_size() != size:
            made = pygame.transform.smoothscale(made, size)
        made = made.convert()
        self._fitted[key] = image, made
        self.octets += image.nbytes + octets_of(made)
        return made

    def forget(self) -> None:
        """Drop what is kept: the page is shut, or there is too much of it."""
        self._fitted.clear()
        self.octets = 0


def _pinned(brush: Brush, state: State, found: PageSheet) -> None:
    """What stays at the foot while the rest scrolls."""
    page, ground = state.choosing, found.place.inset(0, found.place.h - found.foot, 0, 0)
    assert page is not None
    brush.fill(ground, theme.PANEL)
    brush.across(ground.x, ground.right, ground.y)
    for part in (one for one in found.parts if one.fixed):
        place = on_screen_of(found, state, part)
        DRAWN[part.form](brush, state, part, place, part.key == page.at)


def _head(brush: Brush, state: State, found: PageSheet, whole: bool) -> None:
    page, place, px = state.choosing, found.place, brush.px
    assert page is not None
    title = TITLES[page.page]
    pointer = pygame.mouse.get_pos()
    if whole:
        count = len(state.facts.schemes) if state.facts else 0
        house = state.facts.house if state.facts else ""
        x = min((one.place.x for one in found.parts), default=px(48))
        brush.text(house, x, place.y + px(14), theme.WARM, theme.LARGE, bold=True,
                   width=place.w - 2 * x - px(40))  # fmt: skip
        words = "1 scheme" if count == 1 else f"{count} schemes"
        brush.text(f"{words}, each on this house. Click, or arrows and Enter; Esc leaves.", x,
                   place.y + px(46), theme.QUIET, theme.SMALL)  # fmt: skip
    else:
        x = place.x + px(PAD)
        if page.within:
            back = back_place(place, brush.scale)
            if back.holds(*pointer):
                brush.fill(back, theme.RAISED, radius=6)
            chevron(brush, back, theme.WARM, -1)
            x = back.right + px(6)
        brush.text(title, x, place.y + px(13), theme.WARM, theme.TITLE, bold=True)
        if page.page != "layers" and state.facts and page.layer < len(state.facts.layers):
            layer = state.facts.layers[page.layer]
            of = f"layer {page.layer + 1} · {', '.join(layer.zones)}"
            at = x + brush.size(title, theme.TITLE, bold=True)[0] + px(12)
            brush.text(of, at, place.y + px(17), theme.QUIET, theme.SMALL,
                       width=max(place.right - px(48) - at, 1))  # fmt: skip
        if page.page in TYPED:
            _search(brush, page.page, page.typed, Rect(place.x + px(PAD), place.y + px(HEAD - 2),
                                            place.w - 2 * px(PAD), px(SEARCH - 10)))  # fmt: skip
    close = close_place(place, brush.scale)
    if close.holds(*pointer):
        brush.fill(close, theme.RAISED, radius=6)
    middle, arm = (close.x + close.w // 2, close.y + close.h // 2), px(5)
    for way in (-1, 1):
        pygame.draw.aaline(brush.surface, theme.WARM, (middle[0] - arm, middle[1] - way * arm),
                           (middle[0] + arm, middle[1] + way * arm), max(px(1.5), 1))  # fmt: skip


def _search(brush: Brush, page: str, typed: str, place: Rect) -> None:
    brush.fill(place, theme.NIGHT, radius=6)
    brush.frame(place, theme.FAINT if typed else theme.EDGE, radius=6)
    y = place.y + (place.h - brush.size("0")[1]) // 2
    x = place.x + brush.px(12)
    if typed:
        box = brush.text(typed, x, y, theme.WARM, width=place.w - brush.px(24))
        brush.down(box.right + brush.px(2), y, y + box.h, theme.AMBER, 1.5)
    else:
        brush.down(x, y, y + brush.size("0")[1], theme.AMBER, 1.5)
        brush.text(
            "type a name or an occasion" if page == "palettes" else "type what it does",
            x + brush.px(6),
            y,
            theme.FAINT,
        )


def _thumb(brush: Brush, found: PageSheet, scroll_px: float) -> None:
    """How much of the page is in sight."""
    body = found.body
    if found.height <= body.h:
        return
    height = max(round(body.h * body.h / found.height), brush.px(24))
    share = min(scroll_px / (found.height - body.h), 1.0)
    y = body.y + round((body.h - height) * share)
    brush.fill(Rect(body.right - brush.px(8), y, brush.px(5), height), theme.FAINT, alpha=150,
               radius=3)  # fmt: skip


def _foot(brush: Brush, found: PageSheet, text: str) -> None:
    place = found.place
    lines = brush.wrapped(text, place.w - brush.px(2 * PAD), theme.SMALL)
    height = len(lines) * brush.px(17) + brush.px(16)
    foot = Rect(place.x, place.bottom - height, place.w, height)
    brush.fill(foot, theme.RAISED)
    brush.across(foot.x, foot.right, foot.y)
    for index, line in enumerate(lines):
        brush.text(line, foot.x + brush.px(PAD), foot.y + brush.px(7) + index * brush.px(17),
                   theme.WARM, theme.SMALL)  # fmt: skip
