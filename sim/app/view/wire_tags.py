"""The tags of wires and boxes: none over another nor over a box, each touching what it names.

Where there is not room for all their words, tags of wires say amperes and size only, and the fuse
too where there is room for that; then names of junctions and controllers go, and last the amperes:
the size of a wire is what nobody sees by looking at it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
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
from sim.report.label_places import Free, candidates, leader

#: Room inside a tag, between tags, between a tag and a box; a leader so long [px at 100 %] that a
#: shorter wording is tried.
PAD, GAP, CLEAR, FAR = 5, 2, 3, 110
#: Tags of wires with a longer leader [px, times the root of the scale] are left out.
TOO_FAR = 150


#: What a tag says: all, all but the words between, without the fuse, the size alone.
Words = Literal["full", "sized", "short", "least"]
#: What a tag in fewer words may say once all have their places, the most first.
_MORE: dict[Words, tuple[Words, ...]] = {
    "full": (), "sized": (), "short": ("sized",), "least": ("sized", "short"),
}  # fmt: skip
#: How much that tells, to choose between ways of placing all.
_WORTH: dict[Words, int] = {"full": 3, "sized": 3, "short": 2, "least": 1}


@dataclass(frozen=True)
class WireTag:
    """One tag: which of `tags_of`, in which words, what it names and where it stands [px]."""

    number: int
    words: Words
    anchor: Point
    place: Rect


@dataclass(frozen=True)
class Told:
    """What a tag says in each of `Words`; all but supplies and wires say their names."""

    full: str
    sized: str
    short: str
    least: str
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
        found.append(Told(text, text, short, short, theme.OVER if past else theme.WARM))
    for wire, amps, past in zip(house.wires, wire_a, over, strict=True):
        mark = "! " if past else ""  # no matter of colour alone
        full, sized, short, least = (mark + text for text in wire_words(wire, float(amps)))
        colour = theme.OVER if past else theme.WARM
        found.append(Told(full, sized, short, least, colour))
    found += [
        Told(f"controller {name}", f"controller {name}", name, name, theme.QUIET)
        for name in drawn.controllers
    ]
    found += [Told(name, name, name, name, theme.QUIET) for name in drawn.junctions]
    return found


def wire_words(wire: Wire, amps: float) -> tuple[str, str, str, str]:
    """What is said of a wire in each of `Words`; its size always."""
    at_supply = "supply" in (wire.start.kind, wire.end.kind)
    if wire.fuse_a is not None:
        fuse, brief = f" · fuse {wire.fuse_a:g} A", f" of {wire.fuse_a:g} A"
    else:
        fuse, brief = (" · no fuse", " no fuse") if at_supply else ("", "")
    unit = "" if brief.endswith("A") else " A"
    size, short = wire.size.name, f"{amps:.1f} A · {wire.size.name}"
    return short + fuse, f"{amps:.1f}{unit}{brief} · {size}", short, size


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
    # A tag too far from its wire tells nobody which is meant; pointing at the wire does.
    last, too_far = len(house.supplies), brush.scale**0.5 * TOO_FAR
    best: list[WireTag] = []
    most = (-1, -1)
    tries: list[tuple[list[int], Words]] = [
        (here, "full"), (here, "short"), (must, "short"), (must, "least"),
    ]  # fmt: skip
    for numbers, words in tries:
        tags = _settled(brush, numbers, words, anchors, told, free)
        near = all(_far(tag) <= brush.px(FAR) for tag in tags)
        done = len(tags) == len(numbers) and near
        if not done:
            tags = [tag for tag in tags if tag.number < last or _far(tag) <= too_far]
            tags = _added(brush, tags, must, anchors, told, free)
        tags = _widened(brush, tags, told, free, last)
        if done and words == "full":
            return tags
        wires = [tag for tag in tags if last <= tag.number < last + len(house.wires)]
        worth = (sum(tag.number in must for tag in tags), sum(_WORTH[t.words] for t in wires))
        if worth > most:
            best, most = tags, worth
        if done:
            break
    return best


def _added(
    brush: Brush, tags: list[WireTag], wanted: Sequence[int], anchors: Sequence[Point | None],
    told: Sequence[Told], free: Free,
) -> list[WireTag]:  # fmt: skip
    """Those wanted that have no tag yet with one in the fewest words, each where it crosses the
    fewest leaders and is nearest, as far as there is room."""
    made, gap = list(tags), brush.px(GAP)
    too_far = brush.scale**0.5 * TOO_FAR
    boxes = [pygame.Rect(x0, y0, x1 - x0, y1 - y0) for x0, y0, x1, y1 in free.taken.tolist()]
    there = {tag.number for tag in tags}
    for n in wanted:
        if n in there:
            continue
        at = np.array(anchors[n], dtype=float)
        w, h = (round(each) for each in _size(brush, told[n].least))
        taken = [pygame.Rect(one.place) for one in made] + boxes
        found: list[tuple[int, float, WireTag]] = []
        for x, y in candidates(at, np.array([w, h], dtype=float), free).round().tolist():
            tag = WireTag(n, "least", (float(at[0]), float(at[1])), Rect(int(x), int(y), w, h))
            room = pygame.Rect(tag.place).inflate(2 * gap, 2 * gap)
            if _far(tag) <= too_far and room.collidelist(taken) < 0:
                found.append((_crossings(tag, made, gap), _far(tag), tag))
        if found:
            made.append(min(found, key=lambda one: one[:2])[2])
    return made


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
    """Those in few words with more of them, one after the other, where they have room beside all
    others and their leaders; wires, numbered from `first`, before supplies."""
    left, top, right, bottom = free.area
    bounds = pygame.Rect(round(left), round(top), round(right - left), round(bottom - top))
    boxes = [pygame.Rect(x0, y0, x1 - x0, y1 - y0) for x0, y0, x1, y1 in free.taken.tolist()]
    made, gap = list(tags), brush.px(GAP)
    for at in sorted(range(len(tags)), key=lambda n: tags[n].number < first):
        tag = tags[at]
        others = made[:at] + made[at + 1 :]
        taken = [pygame.Rect(one.place) for one in others] + boxes
        crossed = _crossings(tag, others, gap)
        for wider in _wider(brush, tag, told[tag.number]):
            room = pygame.Rect(wider.place).inflate(2 * gap, 2 * gap)
            fits = bounds.contains(wider.place) and room.collidelist(taken) < 0
            if fits and _crossings(wider, others, gap) <= crossed:
                made[at] = wider
                break
    return made


def _wider(brush: Brush, tag: WireTag, told: Told) -> Iterator[WireTag]:
    """The tag with more words, to either side: most words first."""
    for words in _MORE[tag.words]:
        wide = round(_size(brush, getattr(told, words))[0]) - tag.place.w
        if wide > 0:
            for shift in (wide // 2, 0, wide, wide // 4, 3 * wide // 4):
                place = tag.place._replace(x=tag.place.x - shift, w=tag.place.w + wide)
                yield replace(tag, words=words, place=place)


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
