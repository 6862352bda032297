"""Wires over the house as they lie, boxes where they hang, with the amperes of the moment."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import pygame

from layouts import House
from sim.app.state.shown import Shown
from sim.app.state.touch_places import BOX, TouchPlaces
from sim.app.state.window_layout import Layout, Rect
from sim.app.state.wire_plan import WirePlan
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.cut_out import CutOuts
from sim.app.view.wire_tags import Told, WireTag, draw_leaders, draw_tags, placed_tags, tags_of
from sim.report.plan_facts import cuts_of

#: At 100 %: radius of a feed, half a cut's mark.
DOT, CUT = 4, 6
NO_SUPPLIES = "The house file names no supplies"
SUPPOSED = "place not stated: box and wires from it are supposed"


class LyingWires:
    """Keeps what is costly to find between two draws: places of tags and of cuts."""

    def __init__(self) -> None:
        self._of: tuple[object, ...] = ()
        self._cuts: list[tuple[np.ndarray, np.ndarray]] = []  # where, and the way of the run there
        self._tags: Sequence[WireTag] = ()
        self._still = CutOuts()
        self._said: tuple[tuple[object, ...], Sequence[Told]] = ((), ())

    @property
    def tags(self) -> list[Rect]:
        """Where tags stand [px]."""
        return [tag.place for tag in self._tags]

    def draw(
        self,
        brush: Brush,
        parts: Layout,
        shown: Shown,
        places: TouchPlaces,
        wire_a: np.ndarray,
        supply_a: np.ndarray,
        card: Rect | None = None,
    ) -> None:
        """Every wire with its amps (W,), size and fuse; every supply with its amps (S,). A tag that
        `card` would cover in part is left out, with its leader: half its words tell nothing."""
        side, drawn = shown.stage.left, places.drawn
        house = side.rig.house
        if drawn is None or not (house.supplies or drawn.controllers):
            _say(brush, NO_SUPPLIES)
            return
        key = (places, parts.picture)
        if key != self._of:
            self._of, self._said = key, ((), ())
            to_px = side.scene.view.to_px
            self._cuts = [
                (to_px(np.array(cut.at_m)), np.array([cut.along[0], -cut.along[1]]))
                for cut in cuts_of(house)
            ]
            self._tags = placed_tags(brush, parts, house, drawn, places.lines.values())
        tags = clear_of(self._tags, card)
        over = over_rating(house, wire_a)
        supplies = zip(house.supplies, supply_a, strict=False)
        full = any(over) or any(amps > one.rated_a for one, amps in supplies)
        if full:  # comes and goes from frame to frame
            self._draw_wires(brush, house, drawn, over, supply_a, tags)
        else:
            still = (*key, tuple(tag.number for tag in tags))
            self._still.lay(brush.surface, "wires", still, parts.picture[2:], lambda on: (
                self._draw_wires(brush.on(on), house, drawn, over, supply_a, tags)))  # fmt: skip
        of = (wire_a.tobytes(), supply_a.tobytes())
        if of != self._said[0]:
            self._said = (of, tags_of(house, drawn, np.abs(wire_a), supply_a, over))
        draw_tags(brush, tags, self._said[1])
        if drawn.supposed:
            _say_supposed(brush, parts)
        if not house.supplies:
            _say(brush, NO_SUPPLIES)

    def _draw_wires(
        self, brush: Brush, house: House, drawn: WirePlan, over: Sequence[bool],
        supply_a: np.ndarray, tags: Sequence[WireTag],
    ) -> None:  # fmt: skip
        """All but the tags."""
        _draw_lines(brush, drawn, over)
        for path, past in zip(drawn.paths, over, strict=True):
            if path and past:
                _draw_warning(brush, np.array(path), brush.px(8))
        draw_leaders(brush, tags)
        _draw_feeds(brush, drawn, over)
        for at, way in self._cuts:
            _draw_cut(brush, at, way)
        _draw_boxes(brush, house, drawn, supply_a)


def clear_of(tags: Sequence[WireTag], card: Rect | None) -> Sequence[WireTag]:
    """Those of which a card covers nothing."""
    if card is None:
        return tags
    return [tag for tag in tags if not pygame.Rect(tag.place).colliderect(card)]


def over_rating(house: House, wire_a: np.ndarray) -> list[bool]:
    """(W,) whether a wire carries more than its fuse or its copper is for."""
    return [
        bool(abs(float(amps)) > min(wire.size.ampacity_a, wire.fuse_a or np.inf))
        for wire, amps in zip(house.wires, wire_a, strict=True)
    ]


def _draw_lines(brush: Brush, drawn: WirePlan, over: Sequence[bool]) -> None:
    surface, px = brush.surface, brush.px
    for path in drawn.paths:
        if len(path) > 1:
            pygame.draw.lines(surface, theme.NIGHT, False, path, px(5))
    for path, past in zip(drawn.paths, over, strict=True):
        colour, wide = (theme.OVER, px(3)) if past else (theme.AMBER, px(2))
        for a, b in pairwise(path):
            pygame.draw.aaline(surface, colour, a, b, wide)


def _draw_feeds(brush: Brush, drawn: WirePlan, over: Sequence[bool]) -> None:
    """Where a wire ends on its pad."""
    surface, px = brush.surface, brush.px
    for path, past in zip(drawn.paths, over, strict=True):
        if path:
            pygame.draw.aacircle(surface, theme.NIGHT, path[-1], px(DOT + 1.5))
            pygame.draw.aacircle(surface, theme.OVER if past else theme.AMBER, path[-1], px(DOT))


def _draw_warning(brush: Brush, path: np.ndarray, r: float) -> None:
    """A triangle half the way along: what is past its rating is no matter of colour alone."""
    far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    x, y = (float(np.interp(far[-1] / 2, far, path[:, axis])) for axis in (0, 1))
    for size, colour in ((r + brush.px(2), theme.NIGHT), (r, theme.OVER)):
        points = [(x, y - size), (x + size, y + size * 0.8), (x - size, y + size * 0.8)]
        pygame.draw.polygon(brush.surface, colour, points)
    pygame.draw.line(brush.surface, theme.NIGHT, (x, y - r * 0.4), (x, y + r * 0.25), brush.px(1.5))
    pygame.draw.aacircle(brush.surface, theme.NIGHT, (x, y + r * 0.55), brush.px(1))


def _draw_cut(brush: Brush, at: np.ndarray, way: np.ndarray) -> None:
    """Two bars across the run where its + is interrupted."""
    across = np.array([-way[1], way[0]]) * brush.px(CUT)
    for side in (-1, 1):
        middle = at + side * way * brush.px(2)
        for colour, wide in ((theme.NIGHT, 4), (theme.WARM, 1.5)):
            pygame.draw.line(brush.surface, colour, middle - across, middle + across,
                             brush.px(wide))  # fmt: skip


def _draw_boxes(brush: Brush, house: House, drawn: WirePlan, supply_a: np.ndarray) -> None:
    """Supplies with a bolt, controllers with three dots, junctions as diamonds; broken frames
    where the place is supposed."""
    px, surface = brush.px, brush.surface
    for x, y in drawn.junctions.values():
        for r, colour in ((px(7), theme.NIGHT), (px(5), theme.AMBER)):
            pygame.draw.polygon(surface, colour, [(x, y - r), (x + r, y), (x, y + r), (x - r, y)])
    for name, (x, y) in drawn.controllers.items():
        _frame(brush, x, y, theme.QUIET, name in drawn.supposed)
        for step in (-1, 0, 1):
            pygame.draw.aacircle(surface, theme.QUIET, (x + step * px(4), y), px(1.3))
    for number, (name, (x, y)) in enumerate(drawn.supplies.items()):
        past = len(supply_a) > number and supply_a[number] > house.supplies[number].rated_a
        colour = theme.OVER if past else theme.WARM
        _frame(brush, x, y, colour, name in drawn.supposed)
        s = brush.scale
        bolt = [(1, -6), (-4, 1), (-0.5, 1), (-1.5, 6), (4, -1), (0.5, -1)]
        pygame.draw.polygon(surface, colour, [(x + dx * s, y + dy * s) for dx, dy in bolt])


def _frame(brush: Brush, x: float, y: float, colour: theme.Colour, broken: bool) -> None:
    half = brush.px(BOX)
    box = Rect(round(x) - half, round(y) - half, 2 * half, 2 * half)
    brush.fill(box.inset(-2, -2, -2, -2), theme.NIGHT, radius=4)
    if not broken:
        brush.frame(box, colour, radius=3, width=2)
        return
    dash, wide = max(half * 2 // 5, 2), brush.px(1.5)
    for start in range(box.x, box.right, dash * 2):
        end = min(start + dash, box.right)
        for level in (box.y, box.bottom - wide):
            pygame.draw.rect(brush.surface, colour, (start, level, end - start, wide))
    for start in range(box.y, box.bottom, dash * 2):
        end = min(start + dash, box.bottom)
        for at in (box.x, box.right - wide):
            pygame.draw.rect(brush.surface, colour, (at, start, wide, end - start))


def _say(brush: Brush, text: str) -> None:
    px, w = brush.px, brush.size(text)[0]
    brush.card(Rect(px(16), px(16), w + px(28), px(38)))
    brush.text(text, px(30), px(25), theme.QUIET)


def _say_supposed(brush: Brush, parts: Layout) -> None:
    place = supposed_place(brush, parts)
    px = brush.px
    brush.fill(place, theme.NIGHT, alpha=216, radius=6)
    _frame(brush.scaled(brush.scale * 0.7), place.x + px(16), place.y + place.h / 2,
           theme.WARM, broken=True)  # fmt: skip
    high = brush.size(SUPPOSED, theme.SMALL)[1]
    brush.text(SUPPOSED, place.x + px(32), place.y + (place.h - high) / 2, theme.QUIET, theme.SMALL,
               width=place.w - px(42))  # fmt: skip


def supposed_place(brush: Brush, parts: Layout) -> Rect:
    """Where it is said what broken frames mean: at the foot of the picture."""
    px, picture = brush.px, parts.picture
    width = min(brush.size(SUPPOSED, theme.SMALL)[0] + px(44), picture.w - px(16))
    height = px(26)
    return Rect(picture.x + px(8), picture.bottom - height - px(8), width, height)
