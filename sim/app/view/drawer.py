"""The drawer: its ground, labels, slider tracks, supply bars. The widgets lie on top of it."""

from __future__ import annotations

import numpy as np
import pygame

from layouts.catalogue import limits
from sim.app.state.controls import Control
from sim.app.state.drawer import DrawerRow, foot_h, mark_place
from sim.app.state.pointer import knob_x
from sim.app.state.record import State
from sim.app.state.ribbon import Load
from sim.app.state.window_layout import Layout, Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.number_field import draw_number, draw_wrong
from sim.app.view.signs import draw_unwritten, turned_back
from sim.report.text import beside_ceilings

#: The short form of `sim.report.cautions.WIRING`, where there is room for three lines only.
CAUTION = (
    "Figures of a model. Mains work by a licensed electrician; outdoors behind a GFCI/RCD; a fuse "
    "for every feed at the supply; never join the + of two supplies."
)


def caution_height(brush: Brush, parts: Layout) -> int:
    """How tall the caution is when wrapped to the drawer's width [px]."""
    lines = brush.wrapped(CAUTION, parts.drawer.w - brush.px(40), theme.SMALL)
    return len(lines) * brush.px(17) + brush.px(6)


def draw_drawer(
    brush: Brush,
    state: State,
    parts: Layout,
    rows: tuple[DrawerRow, ...],
    load: Load | None,
    now_a: np.ndarray,
    content_px: int,
) -> None:
    """Everything of the drawer that lies under its widgets. `now_a` (S,) [A] of each supply."""
    drawer = parts.drawer
    if drawer.x >= state.size_px[0]:
        return
    surface = brush.surface
    before = surface.get_clip()
    surface.set_clip(pygame.Rect(drawer))
    brush.fill(drawer, theme.PANEL)
    brush.down(drawer.x, drawer.y, drawer.bottom)
    shift_y = drawer.y - round(state.scroll * parts.scale)
    at = pygame.mouse.get_pos()
    end = drawer.bottom - foot_h(rows)
    for row in rows:
        dy = drawer.y if row.pinned else shift_y
        place = _moved(row.place, drawer.x, dy)
        if place.bottom < drawer.y or place.y > (drawer.bottom if row.pinned else end):
            continue
        if row.form == "title":
            brush.text(row.text, place.x, place.y + brush.px(16), theme.WARM, theme.TITLE,
                       bold=True, width=place.w)  # fmt: skip
        elif row.form == "section":
            _section(brush, row, place)
        elif row.form == "supply" and load is not None:
            _supply(brush, place, load, row.supply, now_a, state.bands)
        elif row.form == "caution":
            for index, line in enumerate(brush.wrapped(CAUTION, place.w, theme.SMALL)):
                brush.text(line, place.x, place.y + index * brush.px(17), theme.FAINT, theme.SMALL)
        elif row.form == "foot":
            _foot(brush, place, row.text)
        elif row.control is not None and row.control.form == "head":
            _head(brush, row.control, place, _moved(row.target, drawer.x, dy), state, at)
        elif row.control is not None:
            target = _moved(row.target, drawer.x, dy)
            _control(brush, row.control, place, target, state)
            mark = mark_place(row, parts)
            if mark is not None:
                _mark(brush, _moved(mark, drawer.x, dy), at, end)
    _scrollbar(brush, parts, state, content_px)
    surface.set_clip(before)


def draw_help_card(brush: Brush, parts: Layout, text: str, beside: Rect) -> None:
    """What a control does: a card on the picture, at the height of the control `beside` it.

    It never lies over a control; where there is no room beside the drawer it is left out.
    """
    px, picture = brush.px, parts.picture
    room = min(picture.w - px(28), px(300))
    if room < px(90):
        return
    lines = brush.wrapped(text, room - px(28), theme.SMALL)
    line_h = px(17)
    w = max(brush.size(line, theme.SMALL)[0] for line in lines) + px(28)
    h = len(lines) * line_h + px(16)
    top = beside.y + beside.h // 2 - h // 2
    card = Rect(picture.right - w - px(14), min(max(top, px(8)), picture.bottom - h - px(8)), w, h)
    brush.card(card)
    tip = min(max(beside.y + beside.h // 2, card.y + px(12)), card.bottom - px(12))
    x = card.right - 1
    points = [(x, tip - px(6)), (x + px(7), tip), (x, tip + px(6))]
    pygame.draw.polygon(brush.surface, theme.NIGHT, points)
    pygame.draw.aalines(brush.surface, theme.LINE, False, points)
    for index, line in enumerate(lines):
        y = card.y + px(8) + index * line_h
        brush.text(line, card.x + px(14), y, theme.WARM, theme.SMALL)


def _moved(rect: Rect, dx: int, dy: int) -> Rect:
    return rect._replace(x=rect.x + dx, y=rect.y + dy)


def _section(brush: Brush, row: DrawerRow, place: Rect) -> None:
    layered = row.text[:1].isdigit()
    width = place.w - (brush.px(108) if layered else 0)
    brush.text(row.text, place.x, place.y + brush.px(7), theme.WARM, theme.SMALL, bold=True,
               width=width)  # fmt: skip
    brush.across(place.x, place.right, place.bottom - brush.px(1))


def _control(brush: Brush, control: Control, place: Rect, target: Rect, state: State) -> None:
    focused = state.focus == control.id
    if control.form == "slider":
        _slider(brush, control, place, target, state)
    elif not control.beside and control.form != "button":
        _, height = brush.size("0")
        y = place.y + (place.h - height) / 2
        width = target.x - place.x - brush.px(8) if control.form == "choice" else None
        colour = theme.WARM if focused else theme.QUIET
        brush.text(control.label, place.x, y, colour, width=width)
        if control.form == "switch":
            _switch(brush, bool(control.value), target)
    if focused:
        margin = brush.px(3)
        brush.frame(target.inset(-margin, -margin, -margin, -margin), theme.AMBER, radius=8,
                    width=1.5)  # fmt: skip


def _mark(brush: Brush, place: Rect, at: tuple[int, int], end: int) -> None:
    """Beside what is not written: an arrow that turns back, as a press on it does."""
    over = place.holds(*at) and at[1] < end
    if over:
        brush.fill(place, theme.LINE, radius=12)
    sign = turned_back(brush.px(14), theme.WARM if over else theme.AMBER)
    x = place.x + brush.px(2)
    brush.surface.blit(sign, (x, place.y + (place.h - sign.get_height()) // 2))


def _head(
    brush: Brush, control: Control, place: Rect, target: Rect, state: State, at: tuple[int, int]
) -> None:
    """The head of a section: its name, an arrow that points down while it is open, a hairline."""
    px = brush.px
    bright = state.focus == control.id or target.holds(*at)
    x, y, reach = place.x + px(4), place.y + place.h // 2, px(4)
    if control.value:
        points = [(x - reach, y - reach // 2), (x + reach, y - reach // 2), (x, y + reach)]
    else:
        points = [(x - reach // 2, y - reach), (x - reach // 2, y + reach), (x + reach, y)]
    pygame.draw.polygon(brush.surface, theme.WARM if bright else theme.FAINT, points)
    left = place.x + px(16)
    box = brush.text(control.section, left, place.y + px(7), theme.WARM, theme.SMALL, bold=True,
                     width=max(target.right - left, 1))  # fmt: skip
    if control.changed:
        draw_unwritten(brush, box.right + px(12), y)
    brush.across(place.x, place.right, place.bottom - px(1))
    if state.focus == control.id:
        brush.frame(target.inset(-px(6), px(2), -px(2), px(2)), theme.AMBER, radius=8, width=1.5)


def _foot(brush: Brush, place: Rect, words: str) -> None:
    """The ground of what is pinned, and how much is unwritten."""
    px = brush.px
    brush.fill(place, theme.RAISED)
    brush.across(place.x, place.right, place.y)
    brush.down(place.x, place.y, place.bottom)
    if not words:
        return
    x = place.x + px(20)
    draw_unwritten(brush, x, place.y + px(14))
    brush.text(words, x + px(12), place.y + px(6), theme.WARM, theme.SMALL,
               width=place.w - px(52))  # fmt: skip


def _slider(brush: Brush, control: Control, place: Rect, target: Rect, state: State) -> None:
    bright = state.focus == control.id
    y = place.y + brush.px(3)
    brush.text(control.label, place.x, y, theme.WARM if bright else theme.QUIET)
    typing = state.number is not None and state.number.control == control.id
    if typing:
        draw_number(brush, state, place.right, y, control.text)
    else:
        brush.text(control.text, place.right, y, theme.WARM, align="right")
    knob = brush.px(16)
    left, right = target.x + knob // 2, target.right - knob // 2
    middle, thick = target.y + target.h // 2, brush.px(3)
    if state.number is not None and typing and state.number.wrong:
        draw_wrong(brush, state, place.right, middle)
        return
    track = Rect(left, middle - thick // 2, right - left, thick)
    brush.fill(track, theme.EDGE, radius=2)
    filled = round(track.w * control.share)
    if control.mark_share is not None and control.mark is not None:
        at = left + round((right - left) * control.mark_share)
        past = filled - (at - left)
        brush.fill(track._replace(w=min(filled, at - left)), theme.WARM, radius=2)
        if past > 0:
            brush.fill(track._replace(x=at, w=past), theme.OVER)
        colour = theme.OVER if past > 0 else theme.AMBER
        brush.down(at, middle - brush.px(8), middle + brush.px(8), colour, 2)
        text = f"ceiling {beside_ceilings(float(control.value), [control.mark])[1][0]}"
        label_w, value_w = brush.size(control.label)[0], brush.size(control.text)[0]
        room = place.w - label_w - value_w - brush.px(24)
        if brush.size(text, theme.SMALL)[0] <= room:
            brush.text(text, place.x + label_w + brush.px(12), y + brush.px(1), colour, theme.SMALL)
    else:
        brush.fill(track._replace(w=filled), theme.WARM, radius=2)
    colour = theme.AMBER if state.drag == control.id else theme.WARM
    pygame.draw.aacircle(brush.surface, colour, (round(knob_x(control, target)), middle), knob // 2)


def _switch(brush: Brush, on: bool, target: Rect) -> None:
    brush.fill(target, theme.AMBER if on else theme.EDGE, radius=9)
    radius = target.h // 2 - brush.px(3)
    x = target.right - target.h // 2 if on else target.x + target.h // 2
    colour = theme.NIGHT if on or brush.kit.high else theme.WARM
    pygame.draw.aacircle(brush.surface, colour, (x, target.y + target.h // 2), radius)


def _supply(
    brush: Brush, place: Rect, load: Load, index: int, now_a: np.ndarray, bands: bool
) -> None:
    rated_a, amps = float(load.rated_a[index]), float(now_a[index]) if len(now_a) else 0.0
    share = amps / rated_a if rated_a else 0.0
    over = share > 1.0
    supply_load = limits().supply_load
    colour = theme.OVER if over else theme.AMBER if share > supply_load else theme.WARM
    y = place.y + brush.px(5)
    word = "over" if over else "above 80 %" if share > supply_load else f"{100 * share:.0f} %"
    brush.text(word, place.right, y, colour, align="right")
    middle = f"{amps:.1f} of {rated_a:.3g} A"
    brush.text(middle, place.right - brush.px(84), y, theme.WARM, align="right")
    brush.text(load.names[index], place.x, y, theme.QUIET, width=place.w - brush.px(190))
    bar = Rect(place.x, place.y + brush.px(28), place.w, brush.px(6))
    brush.fill(bar, theme.EDGE, radius=3)
    brush.fill(bar._replace(w=round(bar.w * min(share, 1.0))), colour, radius=3)
    peak = load.peaks[index]
    found = load.ceiling.band if load.ceiling is not None and bands else None
    if found is not None and peak > 0 and rated_a:
        low, high = (bar.w * min(part * peak / rated_a, 1.0) for part in found.supplies[index])
        soft = Rect(bar.x + round(low), bar.y - brush.px(3), round(high) - round(low), bar.h)
        brush.fill(soft._replace(h=bar.h + brush.px(6)), theme.WARM, alpha=90, radius=3)
    if peak > 0:
        x = bar.x + round(bar.w * min(peak / rated_a, 1.0))
        brush.down(
            min(x, bar.right - 1), bar.y - brush.px(2), bar.bottom + brush.px(2), theme.QUIET, 1.5
        )
    limit = bar.x + round(bar.w * supply_load)
    brush.down(limit, bar.y - brush.px(3), bar.bottom + brush.px(3), theme.AMBER, 1)


def _scrollbar(brush: Brush, parts: Layout, state: State, content_px: int) -> None:
    thumb = scroll_thumb(parts, state, content_px)
    if thumb is not None:
        brush.fill(thumb, theme.FAINT, alpha=200, radius=3)


def scroll_thumb(parts: Layout, state: State, content_px: int) -> Rect | None:
    """Where the thumb of the drawer's scroll bar stands; None where all is in sight."""
    drawer = parts.drawer
    if content_px <= drawer.h:
        return None
    height = max(round(drawer.h * drawer.h / content_px), parts.px(24))
    reach = content_px - drawer.h
    share = min(state.scroll * parts.scale / reach, 1.0)
    y = drawer.y + round((drawer.h - height) * share)
    return Rect(drawer.right - parts.px(8), y, parts.px(5), height)
