"""How what is touched is lit: a fine line around it, its name beside it."""

from __future__ import annotations

import numpy as np
import pygame

from sim.app.state.touch_places import BOX
from sim.app.state.window_layout import Layout, Rect
from sim.app.view import theme
from sim.app.view.brush import Brush

#: At 100 %: how far from the middle of a run, and of a wire, its outline is drawn.
RUN_AWAY, WIRE_AWAY = 7.0, 5.0
#: A corner of an outline reaches at most so many times its distance.
_POINTED = 2.0
#: Closed lines (M points [px]), each in its colour, from below.
Around = list[tuple[theme.Colour, list[list[float]]]]


def outline(line: np.ndarray, away: float) -> np.ndarray:
    """(M, 2) the closed line at a distance around a line (J, 2), with round ends."""
    keep = np.concatenate([[True], np.hypot(*np.diff(line, axis=0).T) > 1e-6])
    line = line[keep]
    if len(line) < 2:
        turn = np.linspace(0, 2 * np.pi, 24, endpoint=False)
        return np.asarray(line[:1] + away * np.stack([np.cos(turn), np.sin(turn)], axis=1))
    step = np.diff(line, axis=0)
    step = step / np.hypot(*step.T)[:, None]
    across = np.stack([-step[:, 1], step[:, 0]], axis=1)
    both = np.concatenate([across[:1], across[:-1] + across[1:], across[-1:]])
    half2 = np.maximum((both[1:-1] ** 2).sum(axis=1, keepdims=True), 4 / _POINTED**2)
    both[1:-1] = 2 * both[1:-1] / half2
    ends = []
    for middle, way in ((line[-1], across[-1]), (line[0], -across[0])):
        start = np.arctan2(way[1], way[0])
        turn = start - np.linspace(0, np.pi, 9)[1:-1]
        ends.append(middle + away * np.stack([np.cos(turn), np.sin(turn)], axis=1))
    left, right = line + away * both, (line - away * both)[::-1]
    return np.concatenate([left, ends[0], right, ends[1]])


def lines_around(
    line: np.ndarray, away: float, scale: float, ink: theme.Colour = theme.AMBER
) -> Around:
    """A colour around a run or a wire, dark beside it so that it shows on any wall."""
    return [
        (colour, outline(line, (away + moved) * scale).tolist())
        for moved, colour in ((2.0, theme.NIGHT), (0.0, ink), (0.75, ink))
    ]


def draw_around(brush: Brush, around: Around) -> None:
    """The lines around what is touched."""
    for colour, points in around:
        pygame.draw.aalines(brush.surface, colour, True, points)


def draw_box_around(brush: Brush, at: tuple[float, float]) -> None:
    """The same around a box."""
    half = round((BOX + 5) * brush.scale)
    place = Rect(round(at[0]) - half, round(at[1]) - half, 2 * half, 2 * half)
    brush.frame(place.inset(-1, -1, -1, -1), theme.NIGHT, radius=7, width=3)
    brush.frame(place, theme.AMBER, radius=6, width=1.5)


def draw_ring(brush: Brush, at: tuple[float, float]) -> None:
    """Around one pixel."""
    middle, px = (round(at[0]), round(at[1])), brush.px
    pygame.draw.aacircle(brush.surface, theme.NIGHT, middle, px(9), px(3))
    pygame.draw.aacircle(brush.surface, theme.WARM, middle, px(8), px(1.5))


def draw_name(
    brush: Brush, parts: Layout, name: str, more: str, at: tuple[float, float]
) -> None:  # fmt: skip
    """A name and a few words of now, right below a point and inside the picture."""
    px, picture = brush.px, parts.picture
    room = max(picture.w - px(32), px(40))
    name = brush.cut(name, room, bold=True)
    name_w, height = brush.size(name, bold=True)
    more_w = brush.size(more, theme.SMALL)[0] if more else 0
    beside = more and name_w + px(10) + more_w <= room
    width = name_w + (px(10) + more_w if beside else 0) + px(20)
    card_h = height + px(8)
    x = min(at[0] + px(16), picture.right - width - px(6))
    y = at[1] + px(18)
    if y + card_h > picture.bottom - px(6):
        y = at[1] - card_h - px(12)
    place = Rect(max(round(x), picture.x), max(round(y), picture.y), width, card_h)
    brush.card(place)
    brush.text(name, place.x + px(10), place.y + px(4), theme.WARM, bold=True)
    if beside:
        low = brush.size(more, theme.SMALL)[1]
        brush.text(more, place.x + px(20) + name_w, place.y + (card_h - low) / 2 + px(0.5),
                   theme.QUIET, theme.SMALL)  # fmt: skip
