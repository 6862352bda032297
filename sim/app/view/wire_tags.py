"""The tags of wires and boxes: none over another nor over a box, each touching what it names.

Where there is not room for all their words, tags of wires say amperes and fuse only, and their size
too where there is room for that; then names of junctions and controllers go.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import pygame

from layouts import House, Wire
from sim.app.state.touch_places import BOX, along
from sim.app.state.window_layout import Layout, Rect
from sim.app.state.wire_plan import Point, WirePlan
from sim.app.view import theme
from sim.app.view.brush import Brush
from sim.report.label_haste import label_haste
from sim.report.label_places import Free, leader

#: Room inside a tag, between tags, between a tag and a box; a leader so long [px at 100 %] that a
#: shorter wording is tried.
PAD, GAP, CLEAR, FAR = 5, 2, 3, 110
#: Tags of wires with a longer leader [px, times the root of the scale] are left out.
TOO_FAR = 150


Words = Literal["full", "sized", "short"]


@dataclass(frozen=True)
class WireTag:
    """One tag: which of `tags_of`, in which words, what it names and where it stands [px]."""

    number: int
    words: Words
    anchor: Point
    place: Rect


@dataclass(frozen=True)
class Told:
    """What a tag says: in full, in as few words as still tell a wire's size, and in short."""

    full: str
    sized: str
    short: str
    colour: theme.Colour


def tags_of(
    house: House, drawn: WirePlan, wire_a: np.ndarray, supply_a: np.ndarray, over: Sequence[bool]
) -> list[Told]:
    """What every tag says: of supplies, wires, controllers and junctions in turn."""
    found = []
    for supply, amps in zip(house.supplies, supply_a, strict=True):
        past = amps > supply.rated_a
        mark = "! " if past else ""
        text = f"{mark}{supply.name} · {supply.volts:g} V · {amps:.1f} of {supply.rated_a:.3g} A"
        short = f"{mark}{supply.name} · {amps:.1f} of {supply.rated_a:.3g} A"
        found.append(Told(text, text, short, theme.OVER if past else theme.WARM))
    for wire, amps, past in zip(house.wires, wire_a, over, strict=True):
        mark = "! " if past else ""  # no matter of colour alone
        full, sized, short = (mark + text for text in wire_words(wire, float(amps)))
        found.append(Told(full, sized, short, theme.OVER if past else theme.WARM))
    found += [
        Told(f"controller {name}", f"controller {name}", name, theme.QUIET)
        for name in drawn.controllers
    ]
    found += [Told(name, name, name, theme.QUIET) for name in drawn.junctions]
    return found


def wire_words(wire: Wire, amps: float) -> tuple[str, str, str]:
    """What is said of a wire: in full, in few words with its size, and in short."""
    at_supply = "supply" in (wire.start.kind, wire.end.kind)
    if wire.fuse_a is not None:
        fuse, brief = f" · fuse {wire.fuse_a:g} A", f" of {wire.fuse_a:g} A"
    else:
        fuse, brief = (" · no fuse", " no fuse") if at_supply else ("", "")
    unit = "" if brief.endswith("A") else " A"
    full, short = f"{amps:.1f} A · {wire.size.name}{fuse}", f"{amps:.1f}{unit}{brief}"
    return full, f"{short} · {wire.size.name}", short


def _anchors(house: House, drawn: WirePlan) -> list[Point | None]:
    found: list[Point | None] = [drawn.supplies[supply.name] for supply in house.supplies]
    found += [path[-1] if path else None for path in drawn.paths]
    return [*found, *drawn.controllers.values(), *drawn.junctions.values()]


def placed_tags(
    brush: Brush, parts: Layout, house: House, drawn: WirePlan, lines: Iterable[np.ndarray]
) -> list[WireTag]:
    """Where tags stand, with room for two digits of amps however many there are now; `lines`
    are those of runs and wires."""
    anchors = _anchors(house, drawn)
    most_a = np.full(len(house.wires), 88.8)
    told = tags_of(house, drawn, most_a, np.full(len(house.supplies), 88.8),
                   [True] * len(house.wires))  # fmt: skip
    here = [n for n, anchor in enumerate(anchors) if anchor is not None]
    must = [n for n in here if n < len(house.supplies) + len(house.wires)]
    free = _free(brush, parts, drawn, lines)
    best: list[WireTag] = []
    last = len(house.supplies)
    tries: list[tuple[list[int], Words]] = [(here, "full"), (here, "short"), (must, "short")]
    for numbers, words in tries:
        tags = _settled(brush, numbers, words, anchors, told, free)
        near = all(_far(tag) <= brush.px(FAR) for tag in tags)
        if len(tags) == len(numbers) and near:
            return _widened(brush, tags, told, free, last)
        if sum(tag.number in must for tag in tags) >= sum(tag.number in must for tag in best):
            best = tags
    # A tag too far from its wire tells nobody which is meant; pointing at the wire does.
    far = brush.scale**0.5 * TOO_FAR
    kept = [tag for tag in best if tag.number < last or _far(tag) <= far]
    return _widened(brush, kept, told, free, last)


def _settled(
    brush: Brush, numbers: Sequence[int], words: Words, anchors: Sequence[Point | None],
    told: Sequence[Told], free: Free,
) -> list[WireTag]:  # fmt: skip
    at = np.array([anchors[n] for n in numbers], dtype=float).reshape(-1, 2)
    size = np.array([_size(brush, getattr(told[n], words)) for n in numbers])
    corners = label_haste(at, size.reshape(-1, 2), free, brush.px(GAP))
    return [
        WireTag(n, words, (float(a[0]), float(a[1])),
            Rect(round(corner[0]), round(corner[1]), round(s[0]), round(s[1])))
        for n, a, s, corner in zip(numbers, at, size, corners, strict=True)
        if corner is not None
    ]  # fmt: skip


def _widened(
    brush: Brush, tags: list[WireTag], told: Sequence[Told], free: Free, first: int
) -> list[WireTag]:
    """Those in short with a wire's size too, one after the other, where they have room beside
    all others and their leaders; wires, numbered from `first`, before supplies."""
    left, top, right, bottom = free.area
    bounds = pygame.Rect(round(left), round(top), round(right - left), round(bottom - top))
    boxes = [pygame.Rect(x0, y0, x1 - x0, y1 - y0) for x0, y0, x1, y1 in free.taken.tolist()]
    made, gap = list(tags), brush.px(GAP)
    for at in sorted(range(len(tags)), key=lambda n: tags[n].number < first):
        tag = tags[at]
        wide = round(_size(brush, told[tag.number].sized)[0]) - tag.place.w
        if tag.words != "short" or wide <= 0:
            continue
        others = made[:at] + made[at + 1 :]
        for shift in (wide // 2, 0, wide, wide // 4, 3 * wide // 4):
            place = tag.place._replace(x=tag.place.x - shift, w=tag.place.w + wide)
            wider = replace(tag, words="sized", place=place)
            room = pygame.Rect(place).inflate(2 * gap, 2 * gap)
            taken = room.collidelist([pygame.Rect(one.place) for one in others] + boxes) >= 0
            crossed = _crossings(wider, others, gap) > _crossings(tag, others, gap)
            if bounds.contains(place) and not (taken or crossed):
                made[at] = wider
                break
    return made


def _free(brush: Brush, parts: Layout, drawn: WirePlan, lines: Iterable[np.ndarray]) -> Free:
    picture, px = parts.picture, brush.px
    half = px(BOX) + px(CLEAR)
    spots = [*drawn.supplies.values(), *drawn.controllers.values()]
    boxes = [[x - half, y - half, x + half, y + half] for x, y in spots]
    small = px(6)
    boxes += [[x - small, y - small, x + small, y + small] for x, y in drawn.junctions.values()]
    ends = [path[-1] for path in drawn.paths if path]
    beads = [along(line, 16.0) for line in lines if len(line) > 1]
    foot = px(36) if drawn.supposed else 0
    area = (0.0, 0.0, float(picture.w), float(max(picture.h - foot, 1)))
    return Free(
        area, np.array(boxes, dtype=float).reshape(-1, 4),
        np.array(ends, dtype=float).reshape(-1, 2),
        np.concatenate(beads) if beads else np.zeros((0, 2)),
    )  # fmt: skip


def _size(brush: Brush, text: str) -> tuple[float, float]:
    w, h = brush.size(text, theme.SMALL)
    return float(w + 2 * brush.px(PAD)), float(h)


def _crossings(tag: WireTag, others: Sequence[WireTag], gap: int) -> int:
    """How many leaders of others run under a tag, and how many of them its own runs under."""
    room = pygame.Rect(tag.place).inflate(2 * gap, 2 * gap)
    under = sum(bool(room.clipline(*_line(one))) for one in others)
    return under + sum(bool(pygame.Rect(one.place).clipline(*_line(tag))) for one in others)


def _line(tag: WireTag) -> tuple[Point, Point]:
    """From what a tag names to where its leader ends."""
    end = leader(tag.anchor, (tag.place.x, tag.place.y), (tag.place.w, tag.place.h))
    return tag.anchor, (float(end[0]), float(end[1]))


def _far(tag: WireTag) -> float:
    (x0, y0), (x1, y1) = _line(tag)
    return float(np.hypot(x1 - x0, y1 - y0))


def draw_leaders(brush: Brush, tags: Sequence[WireTag]) -> None:
    """From what is named to its tag; boxes and feeds are drawn over their ends."""
    px = brush.px
    for tag in tags:
        start, end = _line(tag)
        pygame.draw.aaline(brush.surface, theme.NIGHT, start, end, px(3))
        pygame.draw.aaline(brush.surface, theme.FAINT, start, end)


def draw_tags(brush: Brush, tags: Sequence[WireTag], told: Sequence[Told]) -> None:
    """Each as wide as its words, at the side of its place that is nearer to what it names."""
    pad = brush.px(PAD)
    for tag in tags:
        said = told[tag.number]
        text = getattr(said, tag.words)
        width = min(brush.size(text, theme.SMALL)[0] + 2 * pad, tag.place.w)
        spare = tag.place.w - width
        x = min(max(round(tag.anchor[0]) - width // 2, tag.place.x), tag.place.x + spare)
        place = tag.place._replace(x=x, w=width)
        text = brush.cut(text, width - pad, theme.SMALL)
        brush.tag(place, text, said.colour, theme.SMALL, pad, 222)
