"""Little pictures of forms, sides and coverings, drawn by hand: the roof light, its edge lit."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pygame

from layouts.catalogue import materials
from sim.app.state.window_layout import Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.theme import Colour
from sim.light.albedo import albedo_rgb
from sim.light.tone import srgb_encode

Line = tuple[tuple[float, float], ...]
_FINE = 4  # drawn so much larger, then made smaller: smooth edges


def _sign(form: str, facing: str) -> tuple[Line, list[Line], list[Line]]:
    """Wall, roof parts and lit edges, in a box of 48 by 36, y downwards."""
    ground = 33.0
    wall: Line = ((9, 20), (39, 20), (39, ground), (9, ground))
    eave_roof: Line = ((6, 20), (42, 20), (39, 8), (9, 8))
    if form == "flat":
        wall = ((9, 13), (39, 13), (39, ground), (9, ground))
        return wall, [((6, 9), (42, 9), (42, 13), (6, 13))], [((6, 13), (42, 13))]
    if form == "hip":
        return wall, [((5, 20), (43, 20), (32, 7), (16, 7))], [((5, 20), (43, 20))]
    if form == "cross-gable":
        gable: Line = ((21, 21), (30, 10), (39, 21))
        return wall, [eave_roof], [((6, 20), (20, 20)), gable]
    if form == "shed" and facing == "gable":
        wall = ((9, 21), (39, 10), (39, ground), (9, ground))
        return wall, [((5, 20), (43, 6), (43, 9), (5, 23))], [((5, 23), (43, 9))]
    if form == "gambrel":
        if facing == "gable":
            rake: Line = ((6, 22), (12, 12), (24, 5), (36, 12), (42, 22))
            wall = ((10, 21), (14, 13), (24, 8), (34, 13), (38, 21), (38, ground), (10, ground))
            return wall, [(*rake, (38, 22), (34, 14), (24, 8), (14, 14), (10, 22))], [rake]
        lower = ((6, 21), (42, 21), (40, 12), (8, 12))
        upper = ((8, 11), (40, 11), (37, 6), (11, 6))
        return wall, [lower, upper], [((6, 21), (42, 21))]
    if form == "gable" and facing == "gable":
        rake = ((5, 22), (24, 6), (43, 22))
        wall = ((10, 19), (24, 8), (38, 19), (38, ground), (10, ground))
        return wall, [((5, 22), (24, 6), (43, 22), (39, 22), (24, 10), (9, 22))], [rake]
    return wall, [eave_roof], [((6, 20), (42, 20))]


@lru_cache(maxsize=256)
def _drawn(form: str, facing: str, high_px: int, on: bool) -> pygame.Surface:
    per = high_px * _FINE / 36
    surface = pygame.Surface((round(48 * per), round(36 * per)), pygame.SRCALPHA)

    def at(line: Line) -> list[tuple[float, float]]:
        return [(x * per, y * per) for x, y in line]

    wall, roofs, lit = _sign(form, facing)
    pygame.draw.polygon(surface, (*(theme.LINE if not on else (74, 84, 108)), 255), at(wall))
    door = at(((21, 25), (27, 33)))
    pygame.draw.rect(
        surface, theme.NIGHT, (*door[0], door[1][0] - door[0][0], door[1][1] - door[0][1])
    )
    for roof in roofs:
        pygame.draw.polygon(surface, theme.WARM if on else theme.FAINT, at(roof))
    for line in lit:
        _beads(surface, at(line), per, theme.AMBER if on else theme.QUIET)
    return pygame.transform.smoothscale(surface, (round(48 * high_px / 36), high_px))


def _beads(
    surface: pygame.Surface, line: list[tuple[float, float]], per: float, colour: Colour
) -> None:
    """A lit edge: a line with night around it."""
    for width, shade in ((4.2, theme.NIGHT), (2.0, colour)):
        pygame.draw.lines(surface, shade, False, line, max(1, round(width * per)))
        for x, y in line:
            pygame.draw.circle(surface, shade, (x, y), width * per / 2)


@lru_cache(maxsize=64)
def _side(key: str, side: str, high_px: int, on: bool) -> pygame.Surface:
    """A house with a garage or a chimney at one side, or with none."""
    per = high_px * _FINE / 36
    surface = pygame.Surface((round(48 * per), round(36 * per)), pygame.SRCALPHA)
    body, roof = (74, 84, 108) if on else theme.LINE, theme.WARM if on else theme.FAINT
    mark = theme.AMBER if on else theme.QUIET

    def box(colour: Colour, x: float, y: float, w: float, h: float) -> None:
        if side == "right":
            x = 48 - x - w
        pygame.draw.rect(surface, colour, (x * per, y * per, w * per, h * per))

    if key == "chimney" and side != "none":
        box(mark, 12, 5, 6, 14)
    box(body, 13, 19, 22, 14)
    points = ((10, 20), (38, 20), (34, 9), (14, 9))
    pygame.draw.polygon(surface, roof, [(x * per, y * per) for x, y in points])
    if key == "garage" and side != "none":
        box(mark, 1, 22, 12, 2)
        box(body, 2, 24, 11, 9)
        box(mark, 4, 27, 7, 6)
    return pygame.transform.smoothscale(surface, (round(48 * high_px / 36), high_px))


def draw_sign(
    brush: Brush, key: str, choice: str, form: str, facing: str, box: Rect, on: bool
) -> None:
    """The sign of a choice of a field (form, facing, garage, chimney) in the middle of a box."""
    high = min(round(box.h * 0.72), round(box.w * 0.66))
    if high < 6:
        return
    if key == "form":
        sign = _drawn(choice, facing, high, on)
    elif key == "facing":
        sign = _drawn(form, choice, high, on)
    else:
        sign = _side(key, choice, high, on)
    w, h = sign.get_size()
    brush.surface.blit(sign, (box.x + (box.w - w) // 2, box.y + (box.h - h) // 2))


@lru_cache(maxsize=64)
def _swatch(name: str, size: tuple[int, int]) -> pygame.Surface:
    """A patch of a material in its own colour, with the lines of how it is laid."""
    material = materials()[name]
    rgb = np.rint(255 * srgb_encode(albedo_rgb(material)))
    w, h = size
    surface = pygame.Surface(size)
    surface.fill(tuple(int(c) for c in rgb))
    dark = tuple(int(c * 0.72) for c in rgb)
    unit = max(h // 5, 2)
    if material.texture in ("brick", "stone", "shingle", "slate", "tile"):
        for row, y in enumerate(range(0, h, unit)):
            pygame.draw.line(surface, dark, (0, y), (w, y))
            for x in range(0 if row % 2 else unit, w, 2 * unit):
                pygame.draw.line(surface, dark, (x, y), (x, y + unit))
    elif material.texture in ("siding", "timber"):
        for y in range(unit, h, unit):
            pygame.draw.line(surface, dark, (0, y), (w, y))
    elif material.texture == "metal":
        for x in range(unit, w, 2 * unit):
            pygame.draw.line(surface, tuple(min(c + 24, 255) for c in rgb), (x, 0), (x, h))
    return surface


def draw_swatch(brush: Brush, name: str, box: Rect) -> None:
    """The patch of a material."""
    if box.w > 2 and box.h > 2:
        brush.surface.blit(_swatch(name, (box.w, box.h)), (box.x, box.y))
