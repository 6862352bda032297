"""Supplies and wires over the house. The file says what joins what, not where copper runs: the
drawing is a plan, with the supplies in a row on the ground."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pygame

from layouts import House, WireEnd
from sim.app import look
from sim.app.layout import Layout, Rect
from sim.app.view.brush import Brush

Point = tuple[float, float]


def places(house: House, parts: Layout, at_px: np.ndarray) -> dict[tuple[str, str, int], Point]:
    """Where every end of a wire is drawn [px]: pads on their runs, supplies in a row below,
    junctions in the middle of what they join."""
    picture = parts.picture
    found: dict[tuple[str, str, int], Point] = {}
    ends = [end for wire in house.wires for end in (wire.start, wire.end)]
    for end in ends:
        if end.kind == "run":
            run = house.run(end.name)
            index = run.first + min(max(end.pad - 1, 0), run.count - 1)
            found[_key(end)] = (float(at_px[index, 0]), float(at_px[index, 1]))
    joined = _joined(house)
    count = len(house.supplies)
    order = sorted(house.supplies, key=lambda one: _mean_x(joined.get(one.name, []), found, house))
    for index, supply in enumerate(order):
        x = picture.w * (index + 1) / (count + 1)
        found[("supply", supply.name, 0)] = (x, picture.h - parts.px(46))
    junctions = {end.name for end in ends if end.kind == "junction"}
    for _ in range(3):  # a junction may hang on another junction
        for name in sorted(junctions):
            near = [found[_key(end)] for end in joined.get(name, []) if _key(end) in found]
            if near:
                x, y = np.mean(near, axis=0)
                found[("junction", name, 0)] = (float(x), float(y))
    return found


def _key(end: WireEnd) -> tuple[str, str, int]:
    return (end.kind, end.name, end.pad if end.kind == "run" else 0)


def _joined(house: House) -> Mapping[str, list[WireEnd]]:
    """Name of a supply or junction → the other ends of its wires."""
    found: dict[str, list[WireEnd]] = {}
    for wire in house.wires:
        for here, there in ((wire.start, wire.end), (wire.end, wire.start)):
            if here.kind != "run":
                found.setdefault(here.name, []).append(there)
    return found


def _mean_x(ends: list[WireEnd], found: dict[tuple[str, str, int], Point], house: House) -> float:
    at = [found[_key(end)][0] for end in ends if _key(end) in found]
    return float(np.mean(at)) if at else 0.0


def draw_wires(
    brush: Brush,
    parts: Layout,
    house: House,
    at_px: np.ndarray,
    wire_a: np.ndarray,
    supply_a: np.ndarray,
) -> None:
    """Every wire with its amps now (W,), size and fuse; every supply with its amps (S,)."""
    px = brush.px
    if not house.supplies:
        brush.card(Rect(px(16), px(16), px(300), px(40)))
        brush.text("The house file names no supplies", px(30), px(25), look.QUIET)
        return
    at = places(house, parts, at_px)
    taken: list[Rect] = []
    for wire, amps in zip(house.wires, np.abs(wire_a), strict=True):
        start, end = at.get(_key(wire.start)), at.get(_key(wire.end))
        if start is None or end is None:
            continue
        over = wire.fuse_a is not None and amps > wire.fuse_a
        colour = look.OVER if over else look.AMBER
        path = _elbow(start, end)
        pygame.draw.lines(brush.surface, look.NIGHT, False, path, px(4))
        pygame.draw.lines(brush.surface, colour, False, path, px(1.5))
        pygame.draw.aacircle(brush.surface, colour, (round(end[0]), round(end[1])), px(4))
        fuse = f" · fuse {wire.fuse_a:g} A" if wire.fuse_a is not None else " · no fuse"
        guarded = wire.start.kind == "supply" or wire.end.kind == "supply"
        text = f"{amps:.1f} A · {wire.size.name}{fuse if guarded or wire.fuse_a else ''}"
        _tag(brush, parts, text, ((path[1][0] + path[2][0]) / 2, (path[1][1] + path[2][1]) / 2),
             taken, look.OVER if over else look.WARM)  # fmt: skip
    for end_key, (x, y) in at.items():
        if end_key[0] == "junction":
            _tag(brush, parts, end_key[1], (x, y - px(16)), taken, look.QUIET)
    for supply, amps in zip(house.supplies, supply_a, strict=True):
        x, y = at[("supply", supply.name, 0)]
        text = f"{supply.name} · {supply.volts:g} V · {amps:.1f} of {supply.rated_a:g} A"
        w, h = brush.size(text)
        box = Rect(round(x - w / 2) - px(10), round(y), w + px(20), h + px(12))
        box = box._replace(x=min(max(box.x, px(4)), max(parts.picture.w - box.w - px(4), 0)))
        brush.card(box)
        brush.text(text, box.x + px(10), box.y + px(6))


def _elbow(start: Point, end: Point) -> list[Point]:
    """A path of upright and level pieces, as wires are dressed on a wall."""
    level = (start[1] + end[1]) / 2
    return [start, (start[0], level), (end[0], level), end]


def _tag(
    brush: Brush, parts: Layout, text: str, at: Point, taken: list[Rect], colour: look.Colour
) -> None:
    w, h = brush.size(text, look.SMALL)
    pad = brush.px(5)
    for dy in (0, h + 2, -h - 2, 2 * h + 4, -2 * h - 4):
        x = min(max(round(at[0] - w / 2) - pad, 0), max(parts.picture.w - w - 2 * pad, 0))
        place = Rect(x, round(at[1] - h / 2) + dy, w + 2 * pad, h)
        if all(
            place.right <= one.x or one.right <= place.x or place.bottom <= one.y
            or one.bottom <= place.y for one in taken
        ):  # fmt: skip
            brush.fill(place, look.NIGHT, alpha=200, radius=4)
            brush.text(text, place.x + pad, place.y, colour, look.SMALL)
            taken.append(place)
            return
