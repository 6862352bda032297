"""The drawing panel, in the drawer's place: drawn from its parts."""

from __future__ import annotations

import pygame

from sim.app.state.drawing_layout import PanelPart, panel_height, panel_parts
from sim.app.state.record import State
from sim.app.state.window_layout import Layout, Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.drawer import CAUTION, caution_height
from sim.app.view.drawing_pictures import draw_option, draw_tool


def arranged(brush: Brush, state: State, parts: Layout) -> tuple[PanelPart, ...]:
    """The parts of the panel at the size of type in force."""
    return panel_parts(state, parts, 2, caution_height(brush, parts))


class Panel:
    """Keeps the panel as it was drawn while nothing of it changes."""

    def __init__(self) -> None:
        self._key: object = None
        self._drawn: pygame.Surface | None = None

    def draw(
        self, brush: Brush, state: State, parts: Layout, found: tuple[PanelPart, ...],
        at: tuple[int, int],
    ) -> None:  # fmt: skip
        """All of it; what is under the pointer at `at` is lighter."""
        drawer = parts.drawer
        over = at if drawer.holds(*at) else (-1, -1)
        key = (found, drawer, state.scroll, brush.scale, over, brush.surface.get_size())
        shown = pygame.Rect(drawer).clip(brush.surface.get_rect())
        if not shown.w or not shown.h:  # the window has become smaller, and will hear of it
            return
        if key == self._key and self._drawn is not None:
            brush.surface.blit(self._drawn, shown)
            return
        draw_panel(brush, state, parts, found, over)
        self._key, self._drawn = key, brush.surface.subsurface(shown).copy()


def draw_panel(
    brush: Brush, state: State, parts: Layout, found: tuple[PanelPart, ...], at: tuple[int, int]
) -> None:
    """All of it; what is under the pointer at `at` is lighter."""
    drawer, surface = parts.drawer, brush.surface
    before = surface.get_clip()
    surface.set_clip(pygame.Rect(drawer))
    brush.fill(drawer, theme.PANEL)
    brush.down(drawer.x, drawer.y, drawer.bottom)
    shift = drawer.y - round(state.scroll * parts.scale)
    for one in found:
        place = one.place._replace(x=one.place.x + drawer.x, y=one.place.y + shift)
        if place.bottom < drawer.y or place.y > drawer.bottom:
            continue
        over = bool(one.action) and place.holds(*at)
        _DRAWN[one.form](brush, one, place, over)
    tall = panel_height(found, parts)
    if tall > drawer.h:
        height = max(round(drawer.h * drawer.h / tall), parts.px(24))
        share = min(state.scroll * parts.scale / (tall - drawer.h), 1.0)
        thumb = Rect(drawer.right - parts.px(8), drawer.y + round((drawer.h - height) * share),
                     parts.px(5), height)  # fmt: skip
        brush.fill(thumb, theme.FAINT, alpha=200, radius=3)
    surface.set_clip(before)


def _title(brush: Brush, one: PanelPart, place: Rect, _: bool) -> None:
    brush.text(one.text, place.x, place.y + brush.px(11), theme.WARM, theme.TITLE, bold=True)
    word = "not written yet" if one.on else "as the file"
    colour = theme.AMBER if one.on else theme.FAINT
    brush.text(word, place.right, place.y + brush.px(14), colour, theme.SMALL, align="right")


def _tool(brush: Brush, one: PanelPart, place: Rect, over: bool) -> None:
    ground = theme.LINE if over else theme.RAISED
    brush.fill(place, ground, radius=6)
    if one.on:
        brush.frame(place, theme.AMBER, radius=6, width=1.5)
    colour = theme.AMBER if one.on else theme.WARM
    sign = place._replace(h=place.h - brush.px(18))
    draw_tool(brush, one.key, sign._replace(y=sign.y + brush.px(3)), colour)
    brush.text(one.text, place.x + place.w / 2, place.bottom - brush.px(19), colour, theme.SMALL,
               align="centre")  # fmt: skip


def _lines(
    brush: Brush, text: str, place: Rect, colour: theme.Colour, most: int, down: int = 0
) -> None:
    for index, line in enumerate(brush.wrapped(text, place.w, theme.SMALL)[:most]):
        y = place.y + brush.px(down) + index * brush.px(17)
        brush.text(line, place.x, y, colour, theme.SMALL)


def _hint(brush: Brush, one: PanelPart, place: Rect, _: bool) -> None:
    _lines(brush, one.text, place, theme.QUIET, 2, 4)


def _head(brush: Brush, one: PanelPart, place: Rect, _: bool) -> None:
    brush.text(one.text, place.x, place.y + brush.px(8), theme.WARM, theme.SMALL, bold=True,
               width=place.w)  # fmt: skip
    brush.across(place.x, place.right, place.bottom - brush.px(2))


def _note(brush: Brush, one: PanelPart, place: Rect, _: bool) -> None:
    brush.text(one.text, place.x, place.y + brush.px(2), theme.FAINT, theme.SMALL)


def _field(brush: Brush, one: PanelPart, place: Rect, over: bool) -> None:
    px, field = brush.px, one.field
    assert field is not None
    if over or one.on:
        brush.fill(place.inset(-px(6), 0, -px(6), 0), theme.RAISED, radius=4)
    if one.on:
        brush.frame(place.inset(-px(6), 0, -px(6), 0), theme.AMBER, radius=4)
    y = place.y + (place.h - brush.size("0")[1]) / 2
    brush.text(field.label, place.x, y, theme.WARM if one.on else theme.QUIET, width=px(112))
    right = place.right
    if field.options:
        _arrow(brush, right - px(4), place.y + place.h // 2)
        right -= px(14)
    picture = Rect(right - px(40), place.y + px(3), px(40), place.h - px(6))
    if draw_option(brush, field.kind, field.value, picture):
        right = picture.x - px(8)
    text = brush.cut(one.text, max(right - place.x - px(116), px(20)))
    brush.text(text, right, y, theme.WARM, align="right")


def _arrow(brush: Brush, x: int, y: int) -> None:
    s = brush.px(3)
    pygame.draw.polygon(brush.surface, theme.FAINT, [(x - s, y - s // 2), (x + s, y - s // 2),
                                                     (x, y + s)])  # fmt: skip


def _option(brush: Brush, one: PanelPart, place: Rect, over: bool) -> None:
    px, field = brush.px, one.field
    assert field is not None
    brush.fill(place, theme.LINE if over else theme.RAISED, radius=4)
    if one.on:
        brush.frame(place, theme.AMBER, radius=4)
    x = place.x + px(8)
    picture = Rect(x, place.y + px(4), px(44), place.h - px(8))
    if draw_option(brush, field.kind, one.option, picture):
        x = picture.right + px(8)
    y = place.y + (place.h - brush.size("0", theme.SMALL)[1]) / 2
    brush.text(one.text, x, y, theme.WARM, theme.SMALL, width=max(place.right - x - px(6), 1))


def _button(brush: Brush, one: PanelPart, place: Rect, over: bool) -> None:
    brush.fill(place, theme.LINE if over else theme.RAISED, radius=6)
    if one.on:
        brush.frame(place, theme.AMBER, radius=6)
    text_w = brush.size(one.text)[0]
    key_w = brush.size(one.key, theme.SMALL)[0] + brush.px(8) if one.key else 0
    y = place.y + (place.h - brush.size("0")[1]) / 2
    if text_w + key_w + brush.px(12) > place.w:
        brush.text(brush.cut(one.text, place.w - brush.px(8)), place.x + place.w / 2, y, theme.WARM,
                   align="centre")  # fmt: skip
        return
    x = place.x + (place.w - text_w - key_w) / 2
    brush.text(one.text, x, y, theme.WARM)
    if one.key:
        brush.text(one.key, x + text_w + brush.px(8), y + brush.px(1.5), theme.QUIET, theme.SMALL)


def _chip(brush: Brush, one: PanelPart, place: Rect, over: bool) -> None:
    brush.fill(place, theme.LINE if over else theme.PANEL, radius=4)
    brush.frame(place, theme.AMBER if one.on else theme.EDGE, radius=4)
    y = place.y + (place.h - brush.size("0", theme.SMALL)[1]) / 2
    mark = Rect(
        place.x + brush.px(7), place.y + place.h // 2 - brush.px(3), brush.px(6), brush.px(6)
    )
    if one.on:
        brush.fill(mark, theme.AMBER, radius=2)
    else:
        brush.frame(mark, theme.FAINT, radius=2)
    brush.text(one.text, mark.right + brush.px(6), y, theme.WARM if one.on else theme.QUIET,
               theme.SMALL, width=place.right - mark.right - brush.px(10))  # fmt: skip


def _caution(brush: Brush, _: PanelPart, place: Rect, __: bool) -> None:
    _lines(brush, CAUTION, place, theme.FAINT, 6)


_DRAWN = {"title": _title, "tool": _tool, "hint": _hint, "head": _head, "note": _note,
          "field": _field, "option": _option, "button": _button, "chip": _chip,
          "caution": _caution}  # fmt: skip
