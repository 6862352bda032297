"""The card of what is touched: its parts laid out, where it stands, drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import pygame

from sim.app.state.actions import Action
from sim.app.state.touch_card import CardRow, Level, TouchCard
from sim.app.state.touch_pointer import CardPlaces
from sim.app.state.window_layout import Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.signs import draw_warning
from sim.report.label_places import leader

#: The short form of `sim.report.cautions.WIRING` where there is room for a line or two.
CAUTION = "Unplug before you touch anything; mains work is for an electrician."
#: At 100 %: width of a card, of its columns of words; heights of its parts.
NARROWEST, WIDEST = 264, 400
PAD, HEAD, LINE, SMALL_LINE, BUTTON = 16, 44, 20, 17, 28
#: Type is made smaller down to this share of the size in force where a card has no room, as that of
#: the list of keys; what then has no room comes in parts.
LEAST_SHARE = 0.85
#: In a window too small for one line of a card type is made as small as this.
_LEAST_SCALE = 0.6
#: The button that leads to the next part of a card.
MORE = "More"
#: The sign of a warning in its small type, as a share of the usual one.
SIGN = 0.8
#: Between a card and the rim of the picture.
MARGIN = 12
#: Farther away than this a card has no line to what it is about; that is lit all the same.
LEADER = 240


@dataclass(frozen=True)
class CardShape:
    """A card as it will be drawn: with which hand, how large, its lines."""

    brush: Brush
    size: tuple[int, int]
    label_w: int
    notes: tuple[tuple[str, str], ...]  # (level, line)


def shaped(
    brush: Brush, card: TouchCard, labels: Sequence[str], room: tuple[int, int]
) -> CardShape:
    """The card at the largest scale up to the one in force at which it fits into `room` [px].

    `labels` stand on its buttons. Notes give way before type becomes too small.
    """
    scale = brush.scale
    while True:
        tried = brush.scaled(scale)
        shape = _shaped(tried, card, labels, room[0])
        if shape.size[0] <= room[0] and shape.size[1] <= room[1]:
            return shape
        if scale <= min(_LEAST_SCALE, LEAST_SHARE * brush.scale):
            kept = TouchCard(card.form, card.title, card.rows, (), False, card.srgb)
            return _shaped(tried, kept, labels, room[0])
        scale -= 0.05


def in_parts(
    brush: Brush, card: TouchCard, labels: Sequence[str], room: tuple[int, int]
) -> tuple[TouchCard, ...]:
    """The card as it is where it fits into `room` [px]; else its lines in parts that do.

    Rows come first, then notes and the caution; `MORE` stands on each part beside `labels`.
    """
    tried = brush.scaled(LEAST_SHARE * brush.scale)

    def fits(one: TouchCard, said: Sequence[str]) -> bool:
        size = _shaped(tried, one, said, room[0]).size
        return size[0] <= room[0] and size[1] <= room[1]

    if fits(card, labels):
        return (card,)
    said = [*labels, MORE]
    lines: list[CardRow | tuple[Level, str] | None] = [
        CardRow(row.label if not n else "", (value,), row.over)
        for row in card.rows
        for n, value in enumerate(row.values)
    ]
    lines += [*card.notes, *([None] if card.caution else [])]
    found: list[TouchCard] = []
    now: list[CardRow | tuple[Level, str] | None] = []
    for line in lines:
        if now and not fits(_of_lines(card, [*now, line]), said):
            found.append(_of_lines(card, now))
            now = []
        now.append(line)
    return (*found, _of_lines(card, now))


def _of_lines(card: TouchCard, lines: Sequence[CardRow | tuple[Level, str] | None]) -> TouchCard:
    """A card with some of its lines; None stands for the caution."""
    rows = tuple(one for one in lines if isinstance(one, CardRow))
    notes = tuple(one for one in lines if isinstance(one, tuple))
    return replace(card, rows=rows, notes=notes, caution=None in lines)


def _shaped(brush: Brush, card: TouchCard, labels: Sequence[str], room_w: int) -> CardShape:
    px = brush.px
    label_w = max((brush.size(row.label)[0] for row in card.rows), default=0)
    value_w = max((brush.size(v)[0] for row in card.rows for v in row.values), default=0)
    title_w = brush.size(card.title, theme.TITLE, bold=True)[0] + px(84)
    buttons_w = sum(brush.size(text)[0] + px(32) for text in labels)
    wanted = max(label_w + px(20) + value_w, title_w, buttons_w) + 2 * px(PAD)
    step = px(24)  # so that digits that come and go do not make it wider and narrower
    wanted = -(-wanted // step) * step
    width = min(max(wanted, px(NARROWEST)), px(WIDEST), max(room_w, px(120)))
    inside = width - 2 * px(PAD)
    notes: list[tuple[str, str]] = []
    for level, text in card.notes:
        lines = brush.wrapped(text, inside - px(20), theme.SMALL)
        if len(lines) > 4:
            lines = [*lines[:3], lines[3].rstrip(".") + " …"]
        notes += [(level if n == 0 else "", line) for n, line in enumerate(lines)]
    if card.caution:
        notes += [("caution", line) for line in brush.wrapped(CAUTION, inside, theme.SMALL)]
    height = px(HEAD) + sum(len(row.values) for row in card.rows) * px(LINE)
    height += len(notes) * px(SMALL_LINE) + (px(8) if notes else 0)
    height += px(BUTTON) + px(14) if labels else px(4)
    return CardShape(brush, (width, height + px(8)), label_w, tuple(notes))


def card_place(
    size: tuple[int, int],
    area: Rect,
    about: np.ndarray,
    anchor: tuple[float, float],
    at_px: np.ndarray,
    gap: float,
    taken: Sequence[tuple[Rect, float]] = (),
) -> Rect:
    """Where a card stands in `area`: off what it is about (J, 2) and off `taken`, each with what
    hiding it costs, over few of the pixels (N, 2), near its anchor."""
    w, h = size
    right, low = max(area.right - w, area.x), max(area.bottom - h, area.y)
    x, y = (a.ravel() for a in np.meshgrid(
        np.unique(np.rint(np.linspace(area.x, right, 25))),
        np.unique(np.rint(np.linspace(area.y, low, 13))),
    ))  # fmt: skip

    def inside(points: np.ndarray, more: float) -> np.ndarray:
        if not len(points):
            return np.zeros(len(x))
        within = (points[:, 0] > x[:, None] - more) & (points[:, 0] < x[:, None] + w + more)
        within &= (points[:, 1] > y[:, None] - more) & (points[:, 1] < y[:, None] + h + more)
        return within.mean(axis=1)

    cost = 1e4 * inside(np.array([anchor]), gap) + 4e3 * inside(about, gap)
    cost += 400 * inside(at_px[:: max(len(at_px) // 800, 1)], 2.0)
    near = np.clip(anchor, np.stack([x, y], 1), np.stack([x + w, y + h], 1))
    cost += np.maximum(np.hypot(*(near - anchor).T) - 2 * gap, 0) / 4
    for other, weight in taken:
        meets = (x < other.right) & (other.x < x + w) & (y < other.bottom) & (other.y < y + h)
        cost += weight * meets
    at = int(cost.argmin())
    return Rect(int(x[at]), int(y[at]), w, h)


def draw_leader(brush: Brush, place: Rect, anchor: tuple[float, float]) -> None:
    """The line from a card to what it is about, where that is near."""
    px = brush.px
    end = leader(anchor, (place.x, place.y), (place.w, place.h))
    if np.hypot(end[0] - anchor[0], end[1] - anchor[1]) <= px(LEADER):
        pygame.draw.aaline(brush.surface, theme.NIGHT, anchor, end, px(3))
        pygame.draw.aaline(brush.surface, theme.AMBER, anchor, end, px(1))


def draw_card(
    brush: Brush, shape: CardShape, card: TouchCard, buttons: Sequence[tuple[str, Action]],
    pointer: tuple[int, int],
) -> CardPlaces:  # fmt: skip
    """Draw it into the corner of a surface; what can be pressed on it and where.

    `brush` has the scale of `shape`.
    """
    place = Rect(0, 0, *shape.size)
    px, left, right = brush.px, place.x + brush.px(PAD), place.right - brush.px(PAD)
    brush.fill(place, theme.NIGHT, alpha=252, radius=9)
    brush.frame(place, theme.LINE, radius=9)
    shut = _head(brush, place, card, left, right, pointer)
    y = place.y + px(HEAD)
    value_room = right - left - shape.label_w - px(14)
    for row in card.rows:
        brush.text(row.label, left, y, theme.QUIET)
        for value in row.values:
            colour = theme.OVER if row.over else theme.WARM
            box = brush.text(value, right, y, colour, align="right", width=value_room)
            if row.over and value == row.values[0]:
                draw_warning(brush, box.x - px(11), box.y + box.h // 2, SIGN)
            y += px(LINE)
    if shape.notes:
        y += px(4)
        for level, line in shape.notes:
            if level in ("danger", "warning"):
                draw_warning(brush, left + px(6), y + px(9), SIGN)
            faint = level == "caution"
            x = left if faint else left + px(20)
            brush.text(line, x, y, theme.FAINT if faint else theme.WARM, theme.SMALL)
            y += px(SMALL_LINE)
        y += px(4)
    places, x = [], left
    for text, action in buttons:
        each = Rect(x, place.bottom - px(BUTTON) - px(10), brush.size(text)[0] + px(24), px(BUTTON))
        brush.fill(each, theme.LINE if each.holds(*pointer) else theme.RAISED, radius=6)
        brush.frame(each, theme.FAINT, radius=6)
        high = brush.size(text)[1]
        brush.text(text, each.x + px(12), each.y + (each.h - high) / 2, theme.WARM)
        places.append((each, action))
        x = each.right + px(8)
    return CardPlaces(place, tuple(places), shut)


def _head(
    brush: Brush, place: Rect, card: TouchCard, left: int, right: int, pointer: tuple[int, int]
) -> Rect:
    """Title, form, swatch, and the cross that shuts the card; where that is."""
    px = brush.px
    side = px(28)
    shut = Rect(place.right - side - px(4), place.y + px(4), side, side)
    if shut.holds(*pointer):
        brush.fill(shut, theme.LINE, radius=6)
    middle, arm = (shut.x + side // 2, shut.y + side // 2), px(4.5)
    for way in (-1, 1):
        pygame.draw.aaline(brush.surface, theme.QUIET, (middle[0] - arm, middle[1] - way * arm),
                           (middle[0] + arm, middle[1] + way * arm), px(1.5))  # fmt: skip
    y, edge = place.y + px(10), shut.x - px(8)
    if card.srgb is not None:
        swatch = Rect(edge - px(26), y + px(2), px(26), px(17))
        brush.fill(swatch, card.srgb, radius=4)
        brush.frame(swatch, theme.LINE, radius=4)
        edge = swatch.x - px(8)
    room = edge - left - brush.size(card.form, theme.SMALL)[0] - px(10)
    title = brush.text(card.title, left, y, theme.WARM, theme.TITLE, bold=True,
                       width=max(room, px(40)))  # fmt: skip
    low = brush.size(card.form, theme.SMALL)[1]
    brush.text(
        card.form, title.right + px(10), title.bottom - low - px(2), theme.FAINT, theme.SMALL
    )
    brush.across(left, right, place.y + px(HEAD - 6))
    return shut
