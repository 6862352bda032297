"""The sheet drawn, in the place of the drawer; where everything on it can be pressed."""

from __future__ import annotations

import pygame

from sim.app.state.drawer import scroll_to
from sim.app.state.mending import sheet_of
from sim.app.state.mending_record import CloseSheet, ScrollSheet
from sim.app.state.mending_sheet import TITLES, SheetCell, SheetLine, lines_of
from sim.app.state.record import State
from sim.app.state.shown import Shown
from sim.app.state.shown_broken import FrameBroken
from sim.app.state.window_layout import Layout, Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.chips import Spot, draw_cross
from sim.app.view.signs import draw_warning
from sim.report.cautions import MENDING

#: At 100 %: margins, heights of the head, of a line, of small ones, of what can be pressed.
PAD, HEAD, LINE, SMALL_LINE, CELL, GAP = 16, 48, 20, 17, 28, 8


class MendingSheet:
    """Keeps how long it is, and where the thing that has the keys stands."""

    def __init__(self) -> None:
        self.spots: tuple[Spot, ...] = ()
        self.spoken = ""  # what has the keys
        self.place = Rect(0, 0, 0, 0)
        self._long_px = 0
        self._body = Rect(0, 0, 0, 0)
        self._held: Rect | None = None  # what has the keys, as if nothing were scrolled
        self._revealed: tuple[object, ...] = ()
        self._told: tuple[object, ...] = ()
        self._lines: tuple[SheetLine, ...] = ()

    def draw(self, brush: Brush, state: State, parts: Layout, shown: Shown | None) -> None:
        """Everything on it, scrolled."""
        page, px, place = sheet_of(state), brush.px, parts.drawer
        assert page is not None
        self.place = place
        if place.x >= state.size_px[0]:
            self.spots = ()
            return
        brush.fill(place, theme.PANEL)
        brush.down(place.x, place.y, place.bottom)
        pointer = pygame.mouse.get_pos()
        brush.text(TITLES[page], place.x + px(PAD), place.y + px(13), theme.WARM, theme.TITLE,
                   bold=True)  # fmt: skip
        side = px(30)
        cross = Rect(place.right - side - px(10), place.y + px(9), side, side)
        draw_cross(brush, cross, pointer)
        brush.across(place.x + px(PAD), place.right - px(PAD), place.y + px(HEAD) - 1)
        foot = brush.wrapped(MENDING[0], place.w - 2 * px(PAD), theme.SMALL)
        foot_h = len(foot) * px(SMALL_LINE) + px(14)
        self._body = place.inset(0, px(HEAD), 0, foot_h)
        spots = self._content(brush, state, shown, pointer)
        self.spots = (Spot(cross, CloseSheet()), *spots)
        y = self._body.bottom
        brush.across(place.x + px(PAD), place.right - px(PAD), y)
        for index, line in enumerate(foot):
            brush.text(line, place.x + px(PAD), y + px(7) + index * px(SMALL_LINE), theme.FAINT,
                       theme.SMALL)  # fmt: skip

    def _content(
        self, brush: Brush, state: State, shown: Shown | None, pointer: tuple[int, int]
    ) -> list[Spot]:
        px, body = brush.px, self._body
        frame = shown.left if shown is not None else None
        key = (state.mending, state.sighted, state.touch.card, state.touch.pixel, state.selection,
               state.overlays, frame if sheet_of(state) == "broken" else None)  # fmt: skip
        if key != self._told:
            self._told = key
            told = frame.report if key[-1] is not None and isinstance(frame, FrameBroken) else None
            self._lines = lines_of(state, told)
        before = brush.surface.get_clip()
        brush.surface.set_clip(pygame.Rect(body))
        shift = body.y + px(6) - round(state.mending.scroll * brush.scale)
        pen = _Pen(brush, body.x + px(PAD), body.w - 2 * px(PAD), shift, pointer, body)
        self._held, self.spoken = None, ""
        cells = [cell for line in self._lines for cell in line.cells]
        if state.mending.at is not None and state.mending.at < len(cells):
            self.spoken = cells[state.mending.at].text
        for line in self._lines:
            pen.line(line, state.mending.at)
            if pen.held is not None and self._held is None:
                self._held = pen.held._replace(y=pen.held.y - shift)
        self._long_px = pen.y - shift + px(16)
        _thumb(brush, body, self._long_px, state.mending.scroll * brush.scale)
        brush.surface.set_clip(before)
        return pen.spots

    @property
    def limit(self) -> int:
        """How far it can be scrolled [px]."""
        return max(self._long_px - self._body.h, 0)

    def reveal(self, state: State) -> ScrollSheet | None:
        """The scroll that brings what has the keys into sight; none that leaves its end behind."""
        now = state.mending
        limit = self.limit / state.scale
        if now.scroll > limit:
            return ScrollSheet(limit - now.scroll, limit)
        key = (now.page, now.at)
        if key == self._revealed or self._held is None:
            return None
        self._revealed = key
        top = now.scroll * state.scale
        margin = round(40 * state.scale)
        to = scroll_to(self._held.y - margin, self._held.bottom + margin, top, self._body.h)
        return ScrollSheet((to - top) / state.scale, limit) if to != top else None


class _Pen:
    """Puts line below line."""

    def __init__(
        self, brush: Brush, x: int, width: int, y: int, pointer: tuple[int, int], body: Rect
    ) -> None:
        self.brush, self.x, self.width, self.y = brush, x, width, y
        self.pointer, self.body = pointer, body
        self.spots: list[Spot] = []
        self.held: Rect | None = None
        self._number = 0

    def line(self, line: SheetLine, at: int | None) -> None:
        """One line, and all it can be pressed at."""
        px = self.brush.px
        if line.form == "head":
            self.y += px(10)
            self._pair(line, theme.AMBER, bold=True)
            self.y += px(LINE + 2)
        elif line.form == "cause":
            self._cause(line)
        elif line.form == "table":
            self._pair(line, theme.QUIET)
            self.y += px(LINE)
        elif line.form == "cells":
            self._cells(line, at)
        else:
            self._words(line)

    def _pair(self, line: SheetLine, colour: theme.Colour, bold: bool = False) -> None:
        value = self.brush.size(line.value, theme.SMALL if bold else theme.BODY)[0]
        self.brush.text(line.text, self.x, self.y, colour, bold=bold,
                        width=max(self.width - value - self.brush.px(10), 1))  # fmt: skip
        self.brush.text(line.value, self.x + self.width, self.y + (self.brush.px(2) if bold else 0),
                        theme.QUIET if bold else theme.WARM,
                        theme.SMALL if bold else theme.BODY, align="right")  # fmt: skip

    def _words(self, line: SheetLine) -> None:
        brush, px = self.brush, self.brush.px
        small = line.form in ("quiet", "caution")
        size = theme.SMALL if small else theme.BODY
        sign = px(20) if line.form == "warn" else 0
        colour = {"quiet": theme.QUIET, "caution": theme.FAINT}.get(line.form, theme.WARM)
        step = px(SMALL_LINE if small else LINE)
        if sign:
            draw_warning(brush, self.x + px(7), self.y + px(10))
        for text in brush.wrapped(line.text, self.width - sign, size):
            # What is strong is in bold and may be a little wider than what it was wrapped for.
            brush.text(text, self.x + sign, self.y, colour, size, bold=line.form == "strong",
                       width=self.width - sign + px(14))  # fmt: skip
            self.y += step
        self.y += px(5)

    def _cause(self, line: SheetLine) -> None:
        """Words, a probability, and a bar as long as it."""
        brush, px = self.brush, self.brush.px
        value = brush.size(line.value, bold=True)[0]
        for index, text in enumerate(brush.wrapped(line.text, self.width - value - px(12))):
            brush.text(text, self.x, self.y, theme.WARM)
            if index == 0:
                brush.text(line.value, self.x + self.width, self.y, theme.WARM, bold=True,
                           align="right")  # fmt: skip
            self.y += px(LINE)
        track = Rect(self.x, self.y + px(1), self.width, px(3))
        brush.fill(track, theme.LINE, radius=1)
        if line.share > 0:
            brush.fill(track._replace(w=max(round(track.w * min(line.share, 1.0)), px(2))),
                       theme.AMBER, radius=1)  # fmt: skip
        self.y += px(9)

    def _cells(self, line: SheetLine, at: int | None) -> None:
        """Side by side, in as many rows as they need."""
        brush, px = self.brush, self.brush.px
        x = self.x
        if line.text:
            box = brush.text(line.text, x, self.y + px(5), theme.QUIET)
            x = box.right + px(10)
        begin = x if x < self.x + self.width // 2 else self.x
        for cell in line.cells:
            w = self._width(cell)
            if cell.wide:
                w = self.x + self.width - x
                if line.value:
                    right = brush.size(line.value)[0] + px(10)
                    brush.text(line.value, self.x + self.width, self.y + px(5), theme.WARM,
                               align="right")  # fmt: skip
                    w -= right
            if x > begin and x + w > self.x + self.width:
                x, self.y = begin, self.y + px(CELL + 6)
            lines = self._lines(cell, w)
            place = Rect(x, self.y, w, px(CELL) + (len(lines) - 1) * px(SMALL_LINE))
            self._cell(cell, place, lines, self._number == at)
            self._number += 1
            x = place.right + px(GAP)
            if cell.wide:
                self.y += place.h - px(CELL)
        self.y += px(CELL + 6)

    def _width(self, cell: SheetCell) -> int:
        px = self.brush.px
        words = cell.text if cell.typed is None else (cell.typed or cell.text)
        wide = self.brush.size(words)[0] + px(22) + (px(20) if cell.rgb else 0)
        return min(max(wide, px(30 if cell.typed is None else 90)), self.width)

    def _lines(self, cell: SheetCell, w: int) -> list[str]:
        if not cell.wide:
            return [cell.text]
        room = w - self.brush.px(22) - (self.brush.px(22) if cell.takes_away else 0)
        return self.brush.wrapped(cell.text, room) or [""]

    def _cell(self, cell: SheetCell, place: Rect, lines: list[str], held: bool) -> None:
        brush, px = self.brush, self.brush.px
        over = place.holds(*self.pointer) and self.body.holds(*self.pointer)
        typed = cell.typed is not None
        ground = theme.NIGHT if typed else theme.AMBER if cell.on else theme.LINE if over \
            else theme.RAISED  # fmt: skip
        brush.fill(place, ground, radius=6)
        edge = theme.WARM if held else theme.AMBER if typed or cell.on else theme.FAINT
        brush.frame(place, edge, radius=6, width=2 if held else 1)
        ink = theme.NIGHT if cell.on and not typed else theme.WARM
        x = place.x + px(11)
        if cell.rgb is not None:
            dot = Rect(x, place.y + place.h // 2 - px(6), px(12), px(12))
            brush.fill(dot, cell.rgb, radius=6)
            brush.frame(dot, theme.NIGHT if cell.on else theme.LINE, radius=6)
            x = dot.right + px(8)
        high = brush.size("0")[1]
        top = place.y + (px(CELL) - high) // 2
        if typed:
            room = place.w - px(22)
            box = brush.text(cell.typed or "", x, top, theme.WARM, width=room)
            if not cell.typed:
                brush.text(cell.text, x + px(4), top, theme.FAINT, width=room)
            brush.down(box.right + px(2), top, top + high, theme.AMBER, 1.5)
        for index, text in enumerate([] if typed else lines):
            brush.text(text, x, top + index * px(SMALL_LINE), ink,
                       width=place.right - x - px(8))  # fmt: skip
        if cell.takes_away:
            side = px(22)
            draw_cross(brush, Rect(place.right - side - px(4), place.y + px(3), side, side),
                       self.pointer)  # fmt: skip
        if cell.share is not None:
            track = Rect(place.x + px(4), place.bottom - px(4), place.w - px(8), px(2))
            brush.fill(track._replace(w=max(round(track.w * cell.share), px(1))), theme.AMBER)
        if held:
            self.held = place
        seen = place.meets(self.body)
        if seen:
            top_y, low = max(place.y, self.body.y), min(place.bottom, self.body.bottom)
            in_sight = place._replace(y=top_y, h=max(low - top_y, 0))
            self.spots.append(Spot(in_sight, cell.action, cell.text))


def _thumb(brush: Brush, body: Rect, long_px: int, scroll_px: float) -> None:
    """How much of it is in sight."""
    if long_px <= body.h:
        return
    h = max(body.h * body.h // long_px, brush.px(24))
    y = body.y + round((body.h - h) * scroll_px / max(long_px - body.h, 1))
    brush.fill(Rect(body.right - brush.px(6), y, brush.px(3), h), theme.FAINT, radius=1)
