"""Small signs of the window: back to what it was, in no file yet, a warning."""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import pairwise

import pygame

from sim.app.state.window_layout import Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.theme import Colour

_TIMES = 6


@lru_cache(maxsize=32)
def turned_back(side_px: int, colour: Colour) -> pygame.Surface:
    """An arrow that runs back in a half circle: this value as it was. (side, side) [px].

    It is drawn large and made small, so that its curve is smooth.
    """
    side = side_px * _TIMES
    large = pygame.Surface((side, side), pygame.SRCALPHA)
    large.fill((*colour, 0))
    thick = side * 0.075
    left, right, high, low = side * 0.3, side * 0.62, side * 0.32, side * 0.8
    r = (low - high) / 2
    points = [(left, high), (right, high)]
    points += [(right + r * math.sin(a), high + r - r * math.cos(a))
               for a in [math.pi * n / 24 for n in range(25)]]  # fmt: skip
    points.append((left + side * 0.06, low))
    for x, y in points:
        pygame.draw.circle(large, colour, (x, y), thick)
    for (x0, y0), (x1, y1) in pairwise(points):
        steps = 12
        for n in range(steps):
            x, y = x0 + (x1 - x0) * n / steps, y0 + (y1 - y0) * n / steps
            pygame.draw.circle(large, colour, (x, y), thick)
    wing, reach = side * 0.36, side * 0.25
    tip = [(side * 0.06, high), (wing, high - reach), (wing, high + reach)]
    pygame.draw.polygon(large, colour, tip)
    return pygame.transform.smoothscale(large, (side_px, side_px))


def draw_unwritten(brush: Brush, x: int, y: int) -> None:
    """What differs from its file, around a middle [px]: a shape, no matter of colour alone."""
    r = brush.px(4)
    points = [(x, y - r), (x + r, y), (x, y + r), (x - r, y)]
    pygame.draw.polygon(brush.surface, theme.AMBER, points)


def draw_warning(brush: Brush, x: float, y: float, size: float = 1.0) -> None:
    """A triangle with a stroke and a dot in it: a warning is no matter of colour alone.

    `size` is that of the sign beside the usual type.
    """
    brush, x, y = brush.scaled(brush.scale * size), round(x), round(y)
    px = brush.px
    points = [(x, y - px(7)), (x + px(7), y + px(5)), (x - px(7), y + px(5))]
    pygame.draw.polygon(brush.surface, theme.OVER, points)
    brush.fill(Rect(x - px(1) // 2, y - px(3), px(1.5), px(4)), theme.NIGHT)
    brush.fill(Rect(x - px(1) // 2, y + px(2), px(1.5), px(1.5)), theme.NIGHT)
