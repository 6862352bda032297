"""Parts of the pages of choosing, drawn one by one: swatches, zones, layers and their values."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pygame

from effects import Palette, palettes
from sim.app.state.choosing_pages import Part
from sim.app.state.layers import OWN_COLOURS
from sim.app.state.record import State
from sim.app.state.window_layout import Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.choosing_events import LESS_END
from sim.app.view.number_field import draw_number
from sim.app.view.signs import draw_unwritten
from sim.app.view.theme import Colour


@lru_cache(maxsize=256)
def _bands(name: str, own: tuple[str, ...]) -> tuple[Colour, ...]:
    """The colours of a palette as a screen shows them."""
    if name == OWN_COLOURS:
        codes = Palette(name, own).codes
    else:
        codes = palettes()[name].codes if name in palettes() else np.zeros((0, 3), np.uint8)
    return tuple((int(r), int(g), int(b)) for r, g, b in codes)


def _band(brush: Brush, colours: tuple[Colour, ...], place: Rect) -> None:
    """Bands side by side, one a colour."""
    for index, colour in enumerate(colours):
        left = place.x + place.w * index // len(colours)
        right = place.x + place.w * (index + 1) // len(colours)
        brush.surface.fill(colour, (left, place.y, right - left, place.h))
    brush.frame(place, theme.LINE)


def _of_layer(state: State, index: int) -> tuple[Colour, ...]:
    assert state.facts is not None
    try:
        name = str(state.value(index, "palette"))
    except KeyError:
        return ()
    return _bands(name, state.facts.layers[index].colours)


def _swatch(brush: Brush, state: State, part: Part, place: Rect, pointed: bool) -> None:
    px = brush.px
    assert state.facts is not None
    assert state.choosing is not None
    if pointed:
        brush.fill(place, theme.RAISED, radius=6)
    band = Rect(place.x + px(8), place.y + px(6), place.w - px(16), px(22))
    _band(brush, _bands(part.key, state.facts.layers[state.choosing.layer].colours), band)
    if part.on:
        brush.frame(band.inset(-px(2), -px(2), -px(2), -px(2)), theme.AMBER, radius=3, width=2)
    y = band.bottom + px(4)
    name = part.text.replace("-", " ")
    box = brush.text(name, band.x, y, theme.WARM if pointed or part.on else theme.QUIET,
                     bold=part.on, width=band.w)  # fmt: skip
    room = band.right - box.right - px(12)
    if room > px(30):
        brush.text(brush.cut(part.value, room, theme.SMALL), band.right, y + px(1), theme.FAINT,
                   theme.SMALL, align="right")  # fmt: skip


def _zone(brush: Brush, state: State, part: Part, place: Rect, pointed: bool) -> None:
    px = brush.px
    if pointed:
        brush.fill(place, theme.RAISED, radius=6)
    middle = (place.x + px(22), place.y + place.h // 2)
    if part.on:
        pygame.draw.aacircle(brush.surface, theme.AMBER, middle, px(10))
        brush.text(str(part.number), middle[0], middle[1] - brush.size("0", theme.SMALL)[1] / 2,
                   theme.NIGHT, theme.SMALL, bold=True, align="centre")  # fmt: skip
    else:
        pygame.draw.aacircle(brush.surface, theme.FAINT, middle, px(10), max(px(1.2), 1))
    y = place.y + (place.h - brush.size("0")[1]) // 2
    box = brush.text(part.text, place.x + px(42), y, theme.WARM if pointed or part.on else
                     theme.QUIET)  # fmt: skip
    if not part.on:
        brush.text(part.value, max(place.right - px(12), box.right + px(30)), y + px(1),
                   theme.FAINT, theme.SMALL, align="right")  # fmt: skip


def _layer(brush: Brush, state: State, part: Part, place: Rect, pointed: bool) -> None:
    px = brush.px
    assert state.facts is not None
    mark = state.facts.marks[part.number]
    away = mark in state.hidden or (state.only is not None and state.only != mark)
    if pointed or part.on:
        brush.fill(place, theme.RAISED, alpha=255 if pointed else 150, radius=6)
    if part.changed:
        draw_unwritten(brush, place.x + px(3), place.y + px(17))
    colour = theme.FAINT if away else theme.WARM
    brush.text(str(part.number + 1), place.x + px(12), place.y + px(8), theme.QUIET)
    x = place.x + px(32)
    room = place.w - px(32) - px(98)
    box = brush.text(part.text, x, place.y + px(8), colour, bold=True, width=room)
    brush.text(part.value, box.right + px(8), place.y + px(9), theme.QUIET, theme.SMALL,
               width=max(x + room - box.right - px(8), 1))  # fmt: skip
    band = Rect(x, place.y + px(33), room, px(8))
    colours = _of_layer(state, part.number)
    _band(brush, colours, band)
    if away:
        brush.fill(band, theme.PANEL, alpha=150)


def _row(brush: Brush, state: State, part: Part, place: Rect, pointed: bool) -> None:
    px = brush.px
    if pointed:
        brush.fill(place, theme.RAISED, radius=6)
    if part.changed:
        draw_unwritten(brush, place.x - px(2), place.y + place.h // 2)
    y = place.y + (place.h - brush.size("0")[1]) // 2
    label = brush.text(part.text, place.x + px(12), y, theme.WARM if pointed else theme.QUIET)
    if part.less is None:  # it opens a page
        chevron(brush, Rect(place.right - px(26), place.y, px(22), place.h), theme.FAINT, 1)
        right = place.right - px(30)
        if part.key == "palette":
            band = Rect(right - px(64), place.y + px(9), px(64), place.h - px(18))
            _band(brush, _of_layer(state, part.number), band)
            right = band.x - px(10)
        room = right - label.right - px(10)
        brush.text(brush.cut(part.value, room), right, y, theme.WARM, align="right")
        return
    left = place.right - px(LESS_END + 27)
    chevron(brush, Rect(left, place.y, px(24), place.h), theme.QUIET, -1)
    chevron(brush, Rect(place.right - px(26), place.y, px(22), place.h), theme.QUIET, 1)
    field = state.number
    if field is not None and field.control == f"{part.number}.{part.key}":
        draw_number(brush, state, place.right - px(8), y, part.value)
        if field.wrong:
            wrong = brush.cut(field.wrong, left - label.right, theme.SMALL)
            brush.text(wrong, left + px(8), y + px(1), theme.OVER, theme.SMALL, align="right")
        return
    middle = (left + px(24) + place.right - px(26)) / 2
    brush.text(part.value, middle, y, theme.WARM, align="centre")


def _button(brush: Brush, state: State, part: Part, place: Rect, pointed: bool) -> None:
    able = part.press is not None
    ground = theme.AMBER if part.on else theme.LINE if pointed and able else theme.RAISED
    brush.fill(place, ground if able or part.on else theme.PANEL, radius=6)
    if pointed or not able:
        brush.frame(place, theme.FAINT if able else theme.LINE, radius=6)
    small = part.form == "button" and place.w < brush.px(120)
    size = theme.SMALL if small else theme.BODY
    colour = theme.NIGHT if part.on else theme.WARM if able else theme.FAINT
    text = brush.cut(part.text, place.w - brush.px(12), size)
    y = place.y + (place.h - brush.size(text, size)[1]) / 2
    box = brush.text(text, place.x + place.w / 2, y, colour, size, align="centre")
    if part.changed:
        draw_unwritten(brush, box.x - brush.px(12), place.y + place.h // 2)


def _sign(brush: Brush, state: State, part: Part, place: Rect, pointed: bool) -> None:
    """Earlier, later, hidden: signs instead of words, as each layer has all three."""
    px = brush.px
    able = part.press is not None
    if pointed and able:
        brush.fill(place, theme.LINE, radius=6)
    colour = theme.AMBER if part.on else theme.WARM if pointed else theme.QUIET
    colour = colour if able else theme.LINE
    x, y = place.x + place.w // 2, place.y + place.h // 2
    if part.text == "hide":
        lid = pygame.Rect(x - px(8), y - px(5), px(16), px(10))
        pygame.draw.ellipse(brush.surface, colour, lid, max(px(1.4), 1))
        pygame.draw.aacircle(brush.surface, colour, (x, y), px(2.5))
        if part.on:
            pygame.draw.aaline(brush.surface, colour, (x - px(8), y + px(7)),
                               (x + px(8), y - px(7)), max(px(1.6), 1))  # fmt: skip
        return
    way = -1 if part.text == "earlier" else 1
    tip, foot = y + way * px(6), y - way * px(6)
    for side in (-1, 1):
        pygame.draw.aaline(brush.surface, colour, (x, tip), (x + side * px(5), tip - way * px(5)),
                           max(px(1.6), 1))  # fmt: skip
    pygame.draw.aaline(brush.surface, colour, (x, tip), (x, foot), max(px(1.6), 1))


def _note(brush: Brush, state: State, part: Part, place: Rect, pointed: bool) -> None:
    brush.text(part.text, place.x, place.y, theme.QUIET, width=place.w)


def chevron(brush: Brush, place: Rect, colour: Colour, way: int) -> None:
    x, y, arm = place.x + place.w // 2, place.y + place.h // 2, brush.px(4)
    for side in (-1, 1):
        pygame.draw.aaline(brush.surface, colour, (x + way * arm // 2, y),
                           (x - way * arm // 2, y + side * arm), max(brush.px(1.6), 1))  # fmt: skip


#: How each form of part is drawn.
DRAWN = {"swatch": _swatch, "zone": _zone, "layer": _layer, "row": _row, "button": _button,
          "sign": _sign, "note": _note}  # fmt: skip
