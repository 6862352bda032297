"""Wires over the house as they lie, boxes where they hang, with the amperes of the moment."""

from __future__ import annotations

import numpy as np
import pygame

from layouts import House
from sim.app.state.shown import Shown
from sim.app.state.window_layout import Layout, Rect
from sim.app.state.wire_plan import WirePlan, wires_as_they_lie
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.app.view.wires import wire_words
from sim.plan.cable_ways import CableWays
from sim.report.label_places import Free, label_places, leader
from sim.report.plan_facts import cuts_of

#: At 100 %: half a box, radius of a feed, room inside a tag, between tags, half a cut's mark.
BOX, DOT, PAD, GAP, CUT = 7, 4, 5, 2, 6


class LyingWires:
    """Keeps what is costly to find between two draws: lines beside each other, places of tags."""

    def __init__(self) -> None:
        self._of: tuple[object, ...] = ()
        self._drawn = WirePlan({}, {}, ())
        self._cuts: list[tuple[np.ndarray, np.ndarray]] = []  # where, and the way of the run there
        self._tags: list[tuple[float, float] | None] = []

    def draw(
        self,
        brush: Brush,
        parts: Layout,
        shown: Shown,
        ways: CableWays,
        wire_a: np.ndarray,
        supply_a: np.ndarray,
    ) -> None:
        """Every wire with its amps (W,), size and fuse; every supply with its amps (S,)."""
        side = shown.stage.left
        house, px = side.rig.house, brush.px
        key = (ways, side.scene, brush.scale, parts.picture)
        if key != self._of:
            self._of = key
            self._drawn = wires_as_they_lie(ways, house, side.scene.view.to_px, brush.scale)
            to_px = side.scene.view.to_px
            self._cuts = [
                (to_px(np.array(cut.at_m)), np.array([cut.along[0], -cut.along[1]]))
                for cut in cuts_of(house)
            ]
            self._tags = _places(brush, parts, house, self._drawn)
        drawn, surface = self._drawn, brush.surface
        told = [
            wire_words(wire, float(a)) for wire, a in zip(house.wires, np.abs(wire_a), strict=True)
        ]
        for path in drawn.paths:
            pygame.draw.lines(surface, theme.NIGHT, False, path, px(4))
        for path, (_, colour) in zip(drawn.paths, told, strict=True):
            pygame.draw.lines(surface, colour, False, path, px(1.5))
        for path, (_, colour) in zip(drawn.paths, told, strict=True):
            pygame.draw.aacircle(surface, colour, path[-1], px(DOT))
        for at, way in self._cuts:
            _draw_cut(brush, at, way)
        for x, y in drawn.supplies.values():
            half = px(BOX)
            box = Rect(round(x) - half, round(y) - half, 2 * half, 2 * half)
            brush.fill(box, theme.NIGHT, radius=2)
            brush.frame(box, theme.WARM, radius=2, width=2)
        words = [_supply_words(house, n, float(amps)) for n, amps in enumerate(supply_a)] + [
            (text, theme.WARM if colour == theme.AMBER else colour) for text, colour in told
        ]
        for corner, anchor, (text, _) in zip(
            self._tags, _anchors(house, drawn), words, strict=True
        ):
            if corner is not None:
                end = leader(anchor, corner, _size(brush, text))
                if np.hypot(end[0] - anchor[0], end[1] - anchor[1]) > px(2 * DOT):
                    pygame.draw.aaline(surface, theme.FAINT, anchor, end)
        for corner, (text, colour) in zip(self._tags, words, strict=True):
            if corner is not None:
                w, h = _size(brush, text)
                brush.fill(Rect(round(corner[0]), round(corner[1]), round(w), round(h)),
                           theme.NIGHT, alpha=216, radius=4)  # fmt: skip
                brush.text(text, corner[0] + px(PAD), corner[1], colour, theme.SMALL)


def _draw_cut(brush: Brush, at: np.ndarray, way: np.ndarray) -> None:
    """Two bars across the run where its + is interrupted."""
    across = np.array([-way[1], way[0]]) * brush.px(CUT)
    for side in (-1, 1):
        middle = at + side * way * brush.px(2)
        for colour, wide in ((theme.NIGHT, 4), (theme.WARM, 1.5)):
            pygame.draw.line(brush.surface, colour, middle - across, middle + across,
                             brush.px(wide))  # fmt: skip


def _supply_words(house: House, number: int, amps: float) -> tuple[str, theme.Colour]:
    supply = house.supplies[number]
    over = amps > supply.rated_a
    text = f"{supply.name} · {supply.volts:g} V · {amps:.1f} of {supply.rated_a:.3g} A"
    return text + (" · over" if over else ""), theme.OVER if over else theme.WARM


def _size(brush: Brush, text: str) -> tuple[float, float]:
    w, h = brush.size(text, theme.SMALL)
    return float(w + 2 * brush.px(PAD)), float(h)


def _anchors(house: House, drawn: WirePlan) -> list[tuple[float, float]]:
    return [drawn.supplies[s.name] for s in house.supplies] + [path[-1] for path in drawn.paths]


def _places(
    brush: Brush, parts: Layout, house: House, drawn: WirePlan
) -> list[tuple[float, float] | None]:
    """Where tags stand, with room for two digits of amps however many there are now."""
    picture, px = parts.picture, brush.px
    texts = [_supply_words(house, n, 88.8)[0].removesuffix(" · over")
             for n in range(len(house.supplies))]  # fmt: skip
    texts += [wire_words(wire, 88.8)[0].removesuffix(" · over") for wire in house.wires]
    anchors = np.array(_anchors(house, drawn))
    half = px(BOX) + px(2)
    boxes = np.array([[x - half, y - half, x + half, y + half]
                      for x, y in drawn.supplies.values()])  # fmt: skip
    lines = [_along(np.array(path), 6.0) for path in drawn.paths]
    free = Free((0.0, 0.0, float(picture.w), float(picture.h)), boxes, anchors,
                np.concatenate(lines))  # fmt: skip
    size = np.array([_size(brush, text) for text in texts])
    return label_places(anchors, size, free, px(GAP), orders=1)


def _along(path: np.ndarray, step_px: float) -> np.ndarray:
    far = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    at = np.arange(0.0, far[-1] + 1e-9, step_px)
    return np.stack([np.interp(at, far, path[:, axis]) for axis in (0, 1)], axis=1)
