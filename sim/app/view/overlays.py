"""What is laid over the house: volts, runs and numbers, wires and supplies, zones."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import pygame

from layouts import House
from sim.app.state.scales import even_scale, mapped, round_step, round_ticks
from sim.app.state.window_layout import Layout, Rect
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.laid import lay_dots

_TABLE = even_scale()
#: Zones are told apart by these and by their names; they keep apart in lightness too.
ZONES = ((240, 228, 66), (86, 180, 233), (230, 159, 0), (0, 158, 115), (204, 121, 167),
         (213, 94, 0), (150, 200, 255), (200, 200, 190))  # fmt: skip


def volts_range(house: House, volts: np.ndarray) -> tuple[float, float]:
    """The ends of the scale [V]: the supply's nominal, and the least any pixel is made for.

    The lower end follows the runs down where they fall below that. Fixed otherwise, so that the
    colours keep their meaning while the scheme plays.
    """
    kinds = {run.kind.name: run.kind for run in house.runs}.values()
    high = max((kind.supply_v for kind in kinds), default=5.0)
    low = min((kind.min_v for kind in kinds), default=3.5)
    return min(low, float(volts.min(initial=low))), max(high, float(volts.max(initial=high)))


def draw_volts(
    brush: Brush, parts: Layout, house: House, at_px: np.ndarray, volts: np.ndarray,
    said: np.ndarray | None = None,
) -> None:  # fmt: skip
    """A dot of the scale's colour at every pixel (N, 2) [px], and the legend, whose words may tell
    of the volts of a moment before, `said`."""
    low, high = volts_range(house, volts)
    colours = mapped(volts, low, high, _TABLE)
    lay_dots(brush.surface, parts.picture, at_px, colours, brush.px(3))
    least_v = np.array([run.kind.min_v for run in house.runs], dtype=volts.dtype)
    below = volts < least_v[house.pixels.run]
    _rings(brush, parts.picture, at_px[below])
    said = volts if said is None or len(said) != len(volts) else said
    least = int(said.argmin()) if len(said) else 0
    words = ""
    if len(said):
        run = house.runs[house.pixels.run[least]]
        words = f"least {said[least]:.2f} V · {run.name}[{least - run.first}]"
    starved, px = bool(below.any()), brush.px
    card = Rect(
        parts.picture.x + px(16), parts.picture.y + px(16), px(280), px(92 if starved else 72)
    )
    brush.plate("volts", (low, high, words, starved), card, lambda on: (
        _legend(on, Rect(0, 0, card.w, card.h), low, high, words, starved)))  # fmt: skip


def _rings(brush: Brush, picture: Rect, at_px: np.ndarray) -> None:
    """A ring as well as a colour where the voltage is too low; of many, about one a dot's width."""
    if not len(at_px):
        return
    cells = np.unique((at_px // brush.px(15)).astype(int), axis=0, return_index=True)[1]
    for x, y in at_px[cells]:
        if 0 <= x < picture.w and 0 <= y < picture.h:
            pygame.draw.circle(
                brush.surface, theme.OVER, (round(x), round(y)), brush.px(5), brush.px(1)
            )


def _legend(brush: Brush, card: Rect, low: float, high: float, words: str, starved: bool) -> None:
    px = brush.px
    brush.card(card)
    x, y = card.x + px(14), card.y + px(8)
    brush.text("Volts", x, y, theme.QUIET)
    brush.text(words, card.right - px(14), y, theme.WARM, align="right")
    bar = Rect(x, y + px(24), card.w - px(28), px(10))
    brush.surface.blit(_scale(bar.w, bar.h), (bar.x, bar.y))
    for tick in round_ticks(low, high, 5):
        at = bar.x + round((tick - low) / ((high - low) or 1) * (bar.w - 1))
        brush.down(at, bar.bottom, bar.bottom + px(4), theme.FAINT)
        half = brush.size(f"{tick:g}", theme.SMALL)[0] // 2
        at = min(max(at, bar.x + half), bar.right - half)
        brush.text(f"{tick:g}", at, bar.bottom + px(4), theme.QUIET, theme.SMALL, align="centre")
    if starved:
        middle = bar.bottom + px(34)
        pygame.draw.circle(brush.surface, theme.OVER, (bar.x + px(5), middle), px(5), px(1))
        brush.text("ringed: below what its data logic needs", bar.x + px(16), middle - px(9),
                   theme.OVER, theme.SMALL)  # fmt: skip


@lru_cache(maxsize=4)
def _scale(width: int, height: int) -> pygame.Surface:
    """The colours from the lower end to the upper."""
    columns = mapped(np.linspace(0.0, 1.0, width), 0.0, 1.0, _TABLE)
    return pygame.surfarray.make_surface(np.repeat(columns[:, None, :], height, axis=1))


def draw_runs(brush: Brush, parts: Layout, house: House, at_px: np.ndarray) -> None:
    """The name of every run at its middle, and the numbers of pixels along it."""
    taken: list[Rect] = []
    for run in house.runs:
        own = at_px[run.pixels]
        first, middle = own[0], own[len(own) // 2]
        arrow = own[min(3, len(own) - 1)]
        pygame.draw.aaline(brush.surface, theme.AMBER, tuple(first), tuple(arrow))
        pygame.draw.circle(
            brush.surface, theme.AMBER, (round(first[0]), round(first[1])), brush.px(4)
        )
        _label(brush, parts, f"{run.name} · {run.count}", middle, taken, theme.WARM)
        step = _number_step(own, brush.px(64))
        for index in range(step, run.count, step):
            _label(brush, parts, str(index), own[index], taken, theme.QUIET, small=True)


def _number_step(at_px: np.ndarray, apart_px: float) -> int:
    """Every how many pixels a number has room: 1, 2, 5, 10, 20, 50 …"""
    length = float(np.hypot(*np.diff(at_px, axis=0).T).sum()) if len(at_px) > 1 else 0.0
    pitch = length / max(len(at_px), 1)
    return int(round_step(max(apart_px / max(pitch, 1e-6), 1.0)))


def _label(
    brush: Brush, parts: Layout, text: str, at: np.ndarray, taken: list[Rect],
    colour: theme.Colour, small: bool = False,
) -> None:  # fmt: skip
    """A name on a dark ground beside a place; moved up or down, or left out, where it is full."""
    size = theme.SMALL if small else theme.BODY
    w, h = brush.size(text, size)
    pad = brush.px(5)
    x = min(max(round(at[0]) - w // 2 - pad, 0), max(parts.picture.w - w - 2 * pad, 0))
    for dy in (brush.px(8), -brush.px(8) - h, brush.px(28), -brush.px(28) - h):
        place = Rect(x, round(at[1]) + dy, w + 2 * pad, h)
        clear = not any(place.meets(other) for other in taken)
        if clear and place.y >= 0 and place.bottom <= parts.picture.h:
            brush.fill(place, theme.NIGHT, alpha=190, radius=5)
            brush.text(text, place.x + pad, place.y, colour, size)
            taken.append(place)
            return


def draw_zones(
    brush: Brush, parts: Layout, house: House, at_px: np.ndarray, asked: frozenset[str]
) -> None:
    """Every zone the house file names, as lines of its own colour; those lit are in bold."""
    runs = {run.name for run in house.runs}
    named = [zone for name, zone in house.zones.items() if name not in runs and name != "all"]
    shown = named or list(house.zones.values())
    card_h = brush.px(20) * len(shown) + brush.px(20)
    wide = max((brush.size(zone.name, bold=True)[0] for zone in shown), default=0)
    card = Rect(parts.picture.w - wide - brush.px(66), brush.px(16), wide + brush.px(50), card_h)
    for index, zone in enumerate(shown):
        shift = (index - (len(shown) - 1) / 2) * brush.px(5)
        points = at_px[zone.pixels] + np.array([0, shift])
        _beads(brush, parts.picture, points, ZONES[index % len(ZONES)])
    brush.card(card)
    for index, zone in enumerate(shown):
        y = card.y + brush.px(10) + index * brush.px(20)
        colour = ZONES[index % len(ZONES)]
        brush.fill(Rect(card.x + brush.px(12), y + brush.px(7), brush.px(14), brush.px(4)), colour)
        lit = zone.name in asked
        brush.text(
            zone.name, card.x + brush.px(34), y, theme.WARM if lit else theme.QUIET, bold=lit
        )


def _beads(brush: Brush, picture: Rect, points: np.ndarray, colour: theme.Colour) -> None:
    x, y = np.rint(points).astype(int).T
    thick = brush.px(2)
    kept = (x >= 0) & (x < picture.w - thick) & (y >= 0) & (y < picture.h - thick)
    pixels = pygame.surfarray.pixels3d(brush.surface)
    for dx in range(thick):
        for dy in range(thick):
            pixels[picture.x + x[kept] + dx, picture.y + y[kept] + dy] = colour
    del pixels
