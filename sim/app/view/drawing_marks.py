"""Lines, corners and spots of the drawn house, legible on a bright wall and on a dark one."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import pygame

from sim.app.state.window_layout import Rect
from sim.app.view import theme
from sim.app.view.brush import Brush

Point = tuple[float, float]
#: Under every line lies a wider dark one.
UNDER: theme.Colour = (10, 14, 22)
#: What hangs on wires.
COPPER: theme.Colour = (255, 128, 74)
#: What is chosen.
CHOSEN: theme.Colour = (255, 255, 255)
MEMBER: theme.Colour = (124, 205, 255)


def stroke(
    brush: Brush, points: Sequence[Point] | np.ndarray, colour: theme.Colour, width: float = 2.0,
    closed: bool = False,
) -> None:  # fmt: skip
    """A line through points [px] with a dark one under it."""
    if len(points) < 2:
        return
    at = [(float(x), float(y)) for x, y in points]
    pygame.draw.lines(brush.surface, UNDER, closed, at, brush.px(width + 2.5))
    pygame.draw.lines(brush.surface, colour, closed, at, brush.px(width))
    if width <= 2:
        pygame.draw.aalines(brush.surface, colour, closed, at)


def dashes(brush: Brush, a: Point, b: Point, colour: theme.Colour, dash: float = 6) -> None:
    """A dashed straight line [px]."""
    length = float(np.hypot(b[0] - a[0], b[1] - a[1]))
    step = brush.px(dash)
    count = min(int(length // (2 * step)) + 1, 400)
    if length < 1:
        return
    ux, uy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    for index in range(count):
        start, end = 2 * step * index, min(2 * step * index + step, length)
        one, two = ((a[0] + ux * reach, a[1] + uy * reach) for reach in (start, end))
        pygame.draw.line(brush.surface, UNDER, one, two, brush.px(3))
        pygame.draw.line(brush.surface, colour, one, two, brush.px(1.4))


def corner(brush: Brush, at: Point, colour: theme.Colour, filled: bool = False) -> None:
    """A square that can be taken."""
    side = brush.px(9)
    box = pygame.Rect(round(at[0] - side / 2), round(at[1] - side / 2), side, side)
    pygame.draw.rect(brush.surface, UNDER, box.inflate(brush.px(2), brush.px(2)), border_radius=2)
    pygame.draw.rect(brush.surface, colour if filled else theme.PANEL, box, border_radius=1)
    pygame.draw.rect(brush.surface, colour, box, brush.px(1.5), border_radius=1)


def dot(brush: Brush, at: Point, colour: theme.Colour, radius: float = 4) -> None:
    """A round mark: where a wire meets a run."""
    x, y = round(at[0]), round(at[1])
    pygame.draw.aacircle(brush.surface, UNDER, (x, y), brush.px(radius + 1.5))
    pygame.draw.aacircle(brush.surface, colour, (x, y), brush.px(radius))


def start_mark(brush: Brush, points: np.ndarray, colour: theme.Colour) -> None:
    """An arrow at the start of a run: the way the data goes."""
    if len(points) < 2:
        return
    a, b = points[0], points[1]
    length = float(np.hypot(*(b - a))) or 1.0
    u = (b - a) / length
    s = brush.px(6)
    side = np.array([-u[1], u[0]])
    tip = a + u * s * 2.2
    shape = [tuple(tip), tuple(a + u * s * 0.6 + side * s * 0.75),
             tuple(a + u * s * 0.6 - side * s * 0.75)]  # fmt: skip
    pygame.draw.polygon(brush.surface, UNDER, shape, brush.px(3))
    pygame.draw.polygon(brush.surface, colour, shape)


def cut_mark(brush: Brush, at: Point, colour: theme.Colour) -> None:
    """A slash through the run."""
    s = brush.px(7)
    for width, ink in ((4.5, UNDER), (2, colour)):
        upper, lower = (at[0] + s * 0.5, at[1] - s), (at[0] - s * 0.5, at[1] + s)
        pygame.draw.line(brush.surface, ink, upper, lower, brush.px(width))


def place_mark(brush: Brush, at: Point, colour: theme.Colour) -> None:
    """A diamond: something can hang here."""
    s = brush.px(7)
    shape = [(at[0], at[1] - s), (at[0] + s, at[1]), (at[0], at[1] + s), (at[0] - s, at[1])]
    pygame.draw.polygon(brush.surface, theme.PANEL, shape)
    pygame.draw.polygon(brush.surface, UNDER, shape, brush.px(4))
    pygame.draw.polygon(brush.surface, colour, shape, brush.px(2))


def box_mark(brush: Brush, at: Point, colour: theme.Colour, sign: str) -> None:
    """A small box with a sign: a supply (+ −) or a data port (its name)."""
    w, h = brush.px(26), brush.px(18)
    box = pygame.Rect(round(at[0] - w / 2), round(at[1] - h / 2), w, h)
    pygame.draw.rect(brush.surface, UNDER, box.inflate(brush.px(3), brush.px(3)), border_radius=4)
    pygame.draw.rect(brush.surface, theme.PANEL, box, border_radius=3)
    pygame.draw.rect(brush.surface, colour, box, brush.px(1.5), border_radius=3)
    text_h = brush.size(sign, theme.SMALL, bold=True)[1]
    brush.text(sign, at[0], at[1] - text_h / 2, colour, theme.SMALL, bold=True, align="centre")


def label(
    brush: Brush, text: str, at: Point, limit: tuple[int, int], colour: theme.Colour = theme.WARM,
    bold: bool = False,
) -> None:  # fmt: skip
    """Words on a dark ground right below a point [px], kept inside the picture."""
    w, h = brush.size(text, theme.SMALL, bold)
    pad = brush.px(6)
    x = min(max(at[0] + brush.px(14), 0), max(limit[0] - w - 2 * pad, 0))
    y = at[1] + brush.px(14)
    if y + h + brush.px(4) > limit[1]:
        y = at[1] - brush.px(18) - h
    place = Rect(round(x), round(y), w + 2 * pad, h + brush.px(4))
    brush.fill(place, theme.NIGHT, alpha=226, radius=5)
    brush.text(text, place.x + pad, place.y + brush.px(2), colour, theme.SMALL, bold=bold)
