"""The line that parts the two sides of a comparison."""

from __future__ import annotations

import pygame

from layouts import House
from sim.app.state.shown import Shown
from sim.app.state.window_layout import Layout, Rect
from sim.app.view import theme
from sim.app.view.brush import Brush


def draw_divider(brush: Brush, parts: Layout, shown: Shown, split: int) -> None:
    """The line between the sides of a comparison, and what stands on either."""
    px, picture = brush.px, parts.picture
    x, middle = picture.x + split, picture.y + picture.h // 2
    brush.down(x, picture.y, picture.bottom, theme.WARM, 1)
    pygame.draw.aacircle(brush.surface, theme.NIGHT, (x, middle), px(15))
    pygame.draw.aacircle(brush.surface, theme.WARM, (x, middle), px(15), px(1))
    for side in (-1, 1):
        tip = x + side * px(9)
        points = [
            (tip, middle),
            (tip - side * px(4), middle - px(4)),
            (tip - side * px(4), middle + px(4)),
        ]
        pygame.draw.polygon(brush.surface, theme.WARM, points)
    for here, side in ((shown.stage.left, -1), (shown.stage.right, 1)):
        if here is None:
            continue
        name = _kinds(here.rig.house)
        w, h = brush.size(name, bold=True)
        box_w = w + px(24)
        left = x - px(12) - box_w if side < 0 else x + px(12)
        place = Rect(left, picture.y + px(16), box_w, h + px(10))
        brush.card(place)
        brush.text(name, place.x + px(12), place.y + px(5), theme.WARM, bold=True)


def _kinds(house: House) -> str:
    return ", ".join(dict.fromkeys(run.kind.name for run in house.runs))
