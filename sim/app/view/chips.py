"""Chips at the foot of the picture, and the crosses of banners: drawn, and where they stand."""

from __future__ import annotations

from dataclasses import dataclass

import pygame

from sim.app.state.actions import Action, PutAside
from sim.app.state.chips import ChipWords, chip_words
from sim.app.state.record import State
from sim.app.state.window_layout import Layout, Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.signs import draw_warning

#: Height of a chip and side of a cross, at 100 % (WCAG 2.5.8 asks for 24).
HEIGHT, CROSS = 28, 26


@dataclass(frozen=True)
class Spot:
    """A place of the picture that can be clicked."""

    place: Rect
    action: Action
    text: str = ""  # what stands there; "" where a sign alone does


def draw_chips(
    brush: Brush, parts: Layout, state: State, at: tuple[int, int], message: Rect | None = None
) -> tuple[Spot, ...]:
    """One above the other from the foot of the picture, clear of a `message` that stands there."""
    px, spots = brush.px, list[Spot]()
    left = parts.picture.x + px(16) + (px(28) if state.board is not None else 0)
    bottom = parts.picture.bottom - px(14) - (px(30) if state.board is not None else 0)
    words = chip_words(state)
    widest = max((brush.size(one.text)[0] for one in words), default=0) + px(76)
    if message is not None and message.bottom > bottom - px(40) and message.x < left + widest:
        bottom = message.y - px(8)
    for one in reversed(words):
        if bottom - px(HEIGHT) < parts.picture.y:
            break
        spots += _chip(brush, one, Rect(left, bottom - px(HEIGHT), 0, px(HEIGHT)), parts, at)
        bottom -= px(HEIGHT + 6)
    return tuple(spots)


def _chip(
    brush: Brush, one: ChipWords, place: Rect, parts: Layout, at: tuple[int, int]
) -> list[Spot]:
    px = brush.px
    sign, cross = px(30), px(CROSS) if one.cross is not None else px(6)
    room = parts.picture.right - place.x - sign - cross - px(16)
    words = brush.cut(one.text, max(room, 1))
    place = place._replace(w=sign + brush.size(words)[0] + px(4) + cross)
    warns = one.form == "warning"
    brush.fill(place, theme.RAISED if place.holds(*at) else theme.NIGHT, alpha=236, radius=14)
    brush.frame(place, theme.OVER if warns else theme.AMBER if one.form == "filter" else theme.EDGE,
                radius=14)  # fmt: skip
    middle = place.y + place.h // 2
    _sign(brush, one.form, place.x + px(17), middle)
    _, height = brush.size(words)
    brush.text(words, place.x + sign, middle - height / 2, theme.WARM)
    if one.form == "making":
        track = Rect(place.x + sign, place.bottom - px(5), place.w - sign - cross, px(2))
        brush.fill(track, theme.LINE)
        brush.fill(track._replace(w=round(track.w * one.share)), theme.AMBER)
    spots = [Spot(place, one.action, one.text)]
    if one.cross is not None:
        box = Rect(place.right - cross - px(1), place.y + px(1), cross, px(CROSS))
        draw_cross(brush, box, at)
        spots.insert(0, Spot(box, one.cross))
    return spots


def _sign(brush: Brush, form: str, x: int, y: int) -> None:
    """A shape for each kind of chip, so that none is told by its colour alone."""
    px = brush.px
    if form == "warning":
        draw_warning(brush, x, y)
    elif form == "filter":  # of three layers one is seen
        for index, colour in enumerate((theme.FAINT, theme.AMBER, theme.FAINT)):
            brush.fill(Rect(x - px(7), y - px(6) + index * px(5), px(13), px(2)), colour)
    elif form == "making":
        pygame.draw.circle(brush.surface, theme.AMBER, (x, y), px(4))
    else:
        brush.fill(Rect(x - px(7), y - px(5), px(6), px(3)), theme.AMBER, radius=1)
        brush.fill(Rect(x - px(7), y - px(3), px(14), px(9)), theme.AMBER, radius=1)


def draw_cross(brush: Brush, box: Rect, at: tuple[int, int]) -> None:
    """A cross that closes what it stands on."""
    reach = brush.px(4)
    x, y = box.x + box.w // 2, box.y + box.h // 2
    over = box.holds(*at)
    if over:
        brush.fill(box, theme.LINE, radius=13)
    colour = theme.WARM if over else theme.QUIET
    for sign in (-1, 1):
        start, end = (x - reach, y - sign * reach), (x + reach, y + sign * reach)
        pygame.draw.line(brush.surface, colour, start, end, brush.px(1.5))


def banner_spots(crosses: tuple[tuple[str, Rect], ...]) -> tuple[Spot, ...]:
    """What the crosses of banners do."""
    return tuple(Spot(place, PutAside(name)) for name, place in crosses)


def action_at(spots: tuple[Spot, ...], x: int, y: int) -> Action | None:
    """What a click at (x, y) [px] does; None beside every spot."""
    return next((spot.action for spot in spots if spot.place.holds(x, y)), None)
