"""The grid over the house and the rulers at its edges, in the house's units."""

from __future__ import annotations

import math
from collections.abc import Iterator

import pygame

from sim.app.edit.ruler import Ruling, grid
from sim.app.state.drawing_sight import Sight
from sim.app.state.window_layout import Rect
from sim.app.view import theme
from sim.app.view.brush import Brush

#: How wide a ruler is at 100 %.
BAND = 20


class Grids:
    """Keeps the veil of lines while the view stays."""

    def __init__(self) -> None:
        self._key: object = None
        self._veil: pygame.Surface | None = None

    def draw(self, brush: Brush, picture: Rect, sight: Sight, units: str, lines: bool) -> None:
        """Lines over the picture, and a ruler above and at the left."""
        key = (picture, sight, units, lines, brush.scale)
        if key != self._key or self._veil is None:
            self._key = key
            self._veil = _veil(brush, picture, sight, units, lines)
        brush.surface.blit(self._veil, (picture.x, picture.y))

    @staticmethod
    def draw_marks(brush: Brush, picture: Rect, at_px: tuple[float, float]) -> None:
        """Where the cross is, on both rulers."""
        s, band = brush.px(4), brush.px(BAND)
        x, y = round(at_px[0]), round(at_px[1])
        surface = brush.surface
        if band < x < picture.w:
            pygame.draw.polygon(
                surface, theme.AMBER, [(x - s, band - s), (x + s, band - s), (x, band)]
            )
        if band < y < picture.h:
            pygame.draw.polygon(
                surface, theme.AMBER, [(band - s, y - s), (band - s, y + s), (band, y)]
            )


def _veil(brush: Brush, picture: Rect, sight: Sight, units: str, lines: bool) -> pygame.Surface:
    surface = pygame.Surface((picture.w, picture.h), pygame.SRCALPHA)
    on = brush.on(surface)
    ruling = grid(units, sight.px_per_m, 10 * brush.scale)
    band = brush.px(BAND)
    if lines:
        for across in (True, False):
            for index, at in _lines(sight, picture, ruling, across):
                heavy = index % ruling.heavy == 0
                dark, light = (46, 34) if heavy else (15, 9)
                for shift, colour in ((0, (8, 12, 20, dark)), (1, (255, 255, 255, light))):
                    ends = ((at + shift, 0), (at + shift, picture.h)) if across else (
                        (0, at + shift), (picture.w, at + shift))  # fmt: skip
                    pygame.draw.line(surface, colour, *ends)
    for bar in (Rect(0, 0, picture.w, band), Rect(0, band, band, picture.h - band)):
        pygame.draw.rect(surface, (*theme.NIGHT, 214), bar)
    _ticks(on, picture, sight, ruling, units, band)
    return surface


def _lines(sight: Sight, picture: Rect, ruling: Ruling, across: bool) -> Iterator[tuple[int, int]]:
    """(number of the line counted from 0, where it is [px])."""
    step = ruling.step_m
    if across:
        low, high = sight.to_m(0, 0)[0], sight.to_m(picture.w, 0)[0]
    else:
        low, high = sight.to_m(0, picture.h)[1], sight.to_m(0, 0)[1]
    for index in range(math.ceil(low / step), math.floor(high / step) + 1):
        x, y = sight.at_px((index * step, index * step))
        yield index, round(x if across else y)


def _ticks(on: Brush, picture: Rect, sight: Sight, ruling: Ruling, units: str, band: int) -> None:
    small, whole = on.px(4), on.px(8)
    size = theme.SMALL - 1.5
    for across in (True, False):
        free = -1000
        for index, at in _lines(sight, picture, ruling, across):
            heavy = index % ruling.heavy == 0
            length = whole if heavy else small
            if at < band:
                continue
            if across:
                on.down(at, band - length, band, theme.FAINT)
            else:
                on.across(band - length, band, at, theme.FAINT)
            text = _number(index * ruling.step_m, units)
            room = on.size(text, size)[0] + on.px(10)
            if heavy and abs(at - free) >= room:
                free = at
                if across:
                    on.text(text, at + on.px(3), 0, theme.QUIET, size)
                else:
                    _upright(on, text, at, size)
    on.text("ft" if units in ("ft", "in") else "m", on.px(3), on.px(1), theme.FAINT, size)


def _upright(on: Brush, text: str, at: int, size: float) -> None:
    """A number that reads from below, beside its tick."""
    drawn = on.kit.line(text, on.px(size), False, theme.QUIET)
    turned = pygame.transform.rotate(drawn, 90)
    on.surface.blit(turned, (0, at - turned.get_height() - on.px(3)))


def _number(metres: float, units: str) -> str:
    value = metres / 0.3048 if units in ("ft", "in") else metres
    return f"{round(value, 3):g}"
