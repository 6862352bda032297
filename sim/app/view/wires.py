"""Supplies and wires over the house, with the amperes of the moment."""

from __future__ import annotations

import numpy as np
import pygame

from layouts import House, Wire
from sim.app.state.window_layout import Layout, Rect
from sim.app.state.wire_plan import planned_wires
from sim.app.view import theme
from sim.app.view.brush import Brush


def draw_wires(
    brush: Brush,
    parts: Layout,
    house: House,
    at_px: np.ndarray,
    wire_a: np.ndarray,
    supply_a: np.ndarray,
) -> None:
    """Every wire with its amps (W,), size and fuse; every supply with its amps (S,)."""
    px, picture = brush.px, parts.picture
    if not house.supplies:
        brush.card(Rect(px(16), px(16), px(280), px(38)))
        brush.text("The house file names no supplies", px(30), px(25), theme.QUIET)
        return
    drawn = planned_wires(house, at_px, (picture.w, picture.h), brush.scale)
    told = [
        wire_words(wire, float(amps))
        for wire, amps in zip(house.wires, np.abs(wire_a), strict=True)
    ]
    for path in drawn.paths:
        if path:
            pygame.draw.lines(brush.surface, theme.NIGHT, False, path, px(4))
    for path, (_, colour) in zip(drawn.paths, told, strict=True):
        if path:
            pygame.draw.lines(brush.surface, colour, False, path, px(1.5))
            x, y = path[-1]
            pygame.draw.aacircle(brush.surface, colour, (round(x), round(y)), px(4))
    taken: list[Rect] = []
    for name, (x, y) in drawn.junctions.items():
        pygame.draw.aacircle(brush.surface, theme.AMBER, (round(x), round(y)), px(4))
        _tag(brush, parts, name, x + px(8), y - px(9), taken, theme.QUIET)
    for path, (text, colour) in zip(drawn.paths, told, strict=True):
        if path:
            x, y = path[-1]
            ink = theme.WARM if colour == theme.AMBER else colour
            _tag(brush, parts, text, x + px(8), y + px(14), taken, ink)
    for supply, amps in zip(house.supplies, supply_a, strict=True):
        text = f"{supply.name} · {supply.volts:g} V · {amps:.1f} of {supply.rated_a:.3g} A"
        x, y = drawn.supplies[supply.name]
        w, h = brush.size(text)
        left = min(max(round(x - w / 2) - px(12), px(4)), max(picture.w - w - px(28), 0))
        box = Rect(left, round(y), w + px(24), h + px(12))
        brush.card(box)
        over = amps > supply.rated_a
        brush.text(text, box.x + px(12), box.y + px(6), theme.OVER if over else theme.WARM)


def wire_words(wire: Wire, amps: float) -> tuple[str, theme.Colour]:
    """What is said of a wire, and its colour: over its fuse, or over what its copper carries."""
    fuse = f" · fuse {wire.fuse_a:g} A" if wire.fuse_a is not None else ""
    at_supply = "supply" in (wire.start.kind, wire.end.kind)
    if at_supply and wire.fuse_a is None:
        fuse = " · no fuse"
    over = amps > min(wire.size.ampacity_a, wire.fuse_a or np.inf)
    word = " · over" if over else ""
    return f"{amps:.1f} A · {wire.size.name}{fuse}{word}", theme.OVER if over else theme.AMBER


def _tag(
    brush: Brush, parts: Layout, text: str, x: float, y: float, taken: list[Rect],
    colour: theme.Colour,
) -> None:  # fmt: skip
    """A line on a dark ground right of a wire, moved down to where there is room."""
    w, h = brush.size(text, theme.SMALL)
    pad = brush.px(5)
    left = min(max(round(x), 0), max(parts.picture.w - w - 2 * pad, 0))
    for step in range(8):
        place = Rect(left, round(y) + step * (h + 1), w + 2 * pad, h)
        if not any(place.meets(one) for one in taken):
            brush.fill(place, theme.NIGHT, alpha=208, radius=4)
            brush.text(text, place.x + pad, place.y, colour, theme.SMALL)
            taken.append(place)
            return
