"""The elevation: the house in lines, on it runs, the way of data, feeds, cuts, boxes and cable."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from markupsafe import Markup

from layouts import spot_xy_m
from layouts.records import House, WireEnd
from sim.plan.cable_ways import CableWays, cable_ways, pad_m
from sim.report.handover import svg
from sim.report.handover.facts import Handover
from sim.report.label_places import Free, label_places, leader
from sim.report.lanes import beside_each_other
from sim.report.plan_facts import cuts_of

WIDTH, EDGE = 1000.0, 8.0
#: What is left around runs and boxes [m], so that the figure is of the lights and not the garden.
_AROUND_M = 0.9
TYPE, SMALL, STEP, PAD = 13.0, 11.0, 15.0, 4.0
_GARDEN = ("hedge", "lawn", "gravel")
_APART = 4.5
_ARROW_EVERY = 90.0
#: From so many labels on they are placed in one order only.
_MANY = 60


@dataclass(frozen=True)
class Tag:
    """Words at a place of the drawing: lines, the first one bold; `ink` of its rim."""

    at: tuple[float, float]
    lines: tuple[str, ...]
    ink: str
    size: tuple[float, float]
    corner: tuple[float, float] | None = None  # None: nothing was left for it


@dataclass(frozen=True)
class Elevation:
    """The drawing, its labels as placed, and whether cable could be drawn."""

    svg: Markup
    tags: tuple[Tag, ...]
    cables: bool

    @property
    def left_out(self) -> tuple[str, ...]:
        """Labels that found no place."""
        return tuple(tag.lines[0] for tag in self.tags if tag.corner is None)


@dataclass(frozen=True)
class _Measures:
    """From metres to the drawing."""

    left_m: float
    top_m: float
    scale: float
    height: float

    def px(self, xy_m: np.ndarray) -> np.ndarray:
        """(..., 2) [m] → the drawing's own units."""
        at = np.asarray(xy_m, dtype=float)
        return np.stack(
            [
                EDGE + (at[..., 0] - self.left_m) * self.scale,
                EDGE + (self.top_m - at[..., 1]) * self.scale,
            ],
            axis=-1,
        )


def elevation(facts: Handover) -> Elevation:
    """The elevation of a house with everything the document knows of it."""
    house = facts.house
    ways = cable_ways(house)
    boxes = _boxes(house)
    sheet = _sheet(house, [xy for _, xy, _ in boxes], ways)
    paths = [sheet.px(run.path_m) for run in house.runs]
    cables = _cables(sheet, ways, paths)
    ends = [
        (w.number, w.supply, _end_px(house, sheet, w.wire.end, w.wire.start)) for w in facts.wires
    ]
    parts = _walls(house, sheet)
    for load, way in zip(facts.wires, cables, strict=False):
        ink = svg.supply_ink(load.supply)
        wide = float(np.clip(0.9 * load.wire.size.area_mm2, 1.0, 4.0))
        parts.append(svg.line(way, wide + 1.6, ink="ground"))
        parts.append(svg.line(way, wide, ink=ink))
    for path in paths:
        parts += [svg.line(path, 5.0, ink="ground"), svg.line(path, 2.6), *_arrows(path)]
    parts += _cuts(house, sheet)
    for _, supply, at in ends:
        if at is not None:
            parts.append(svg.circle(*at, 4.2, ink="ground", fill=svg.supply_ink(supply)))
    for _, xy, ink in boxes:
        x, y = sheet.px(np.array(xy)).tolist()
        parts.append(svg.rect(x - 7, y - 7, 14, 14, ink="ink", fill=ink, round_=2))
    tags = _placed(_tags(facts, sheet, ends, boxes), facts, sheet, paths, cables)
    parts += [*_leaders(tags), *(each for tag in tags for each in _drawn(tag))]
    said = (
        f"Elevation of {house.name} seen from the street: {len(house.runs)} runs with the way of"
        f" data, {len(facts.wires)} wires, {len(house.supplies)} supplies."
    )
    return Elevation(svg.drawing(WIDTH, sheet.height, said, parts), tags, bool(cables))


def _boxes(house: House) -> list[tuple[str, tuple[float, float], str]]:
    """Supplies and outputs whose place is known: a name, where [m], the class of its colour."""
    found = []
    for number, supply in enumerate(house.supplies):
        spot = spot_xy_m(house, supply.at)
        if spot is not None:
            found.append((f"S{number + 1} {supply.name}", spot, svg.supply_ink(number)))
    for output in house.outputs:
        spot = spot_xy_m(house, output.at)
        if spot is not None:
            found.append((f"output {output.name}", spot, "ground"))
    return found


def _sheet(house: House, spots: list[tuple[float, float]], ways: CableWays | None) -> _Measures:
    seen = [*(run.path_m for run in house.runs), np.array(spots).reshape(-1, 2)]
    if ways is not None:
        seen += list(ways.ways)
    points = np.concatenate(seen)
    low, high = points.min(axis=0), points.max(axis=0)
    around = max(_AROUND_M, 0.07 * float(high[0] - low[0]))
    left, right = low[0] - around, high[0] + around
    bottom, top = min(low[1] - around, 0.0), high[1] + 1.3 * around
    scale = (WIDTH - 2 * EDGE) / (right - left)
    tall = (top - bottom) * scale + 2 * EDGE
    if tall > 1150:  # no taller than a page
        scale *= 1150 / tall
        left -= ((WIDTH - 2 * EDGE) / scale - (right - left)) / 2
        tall = 1150.0
    return _Measures(float(left), float(top), float(scale), float(tall))


def _walls(house: House, sheet: _Measures) -> list[Markup]:
    """Surfaces in lines, the garden left out, cut off at the rim of the drawing."""
    frame = (EDGE, EDGE, WIDTH - EDGE, sheet.height - EDGE)
    drawn = [svg.rect(1, 1, WIDTH - 2, sheet.height - 2, ink="hair", fill="ground", width=0.8)]
    for surface in house.drawing.surfaces:
        if any(word in surface.material.texture + surface.material.name for word in _GARDEN):
            continue
        outline = _clipped(sheet.px(surface.outline_m), frame)
        if len(outline) > 2:
            drawn.append(svg.line(outline.tolist(), 0.8, ink="hair", fill="tint"))
    return drawn


def _clipped(outline: np.ndarray, frame: tuple[float, float, float, float]) -> np.ndarray:
    """A polygon cut off at a rectangle (Sutherland and Hodgman 1974)."""
    points = outline
    for axis, limit, keep in (
        (0, frame[0], 1),
        (0, frame[2], -1),
        (1, frame[1], 1),
        (1, frame[3], -1),
    ):
        if not len(points):
            break
        inside = (points[:, axis] - limit) * keep >= 0
        kept = []
        for k in range(len(points)):
            a, b = points[k - 1], points[k]
            if inside[k] != inside[k - 1]:
                share = (limit - a[axis]) / (b[axis] - a[axis])
                kept.append(a + share * (b - a))
            if inside[k]:
                kept.append(b)
        points = np.array(kept).reshape(-1, 2)
    return points


def _cables(
    sheet: _Measures, ways: CableWays | None, paths: list[np.ndarray]
) -> list[list[list[float]]]:
    if ways is None:
        return []
    lanes = beside_each_other([sheet.px(way) for way in ways.ways], _APART, paths)
    return [lane.tolist() for lane in lanes]


def _end_px(
    house: House, sheet: _Measures, end: WireEnd, start: WireEnd
) -> tuple[float, float] | None:
    """Where a wire meets a run; None where it leads to a junction."""
    at = end if end.kind == "run" else start
    if at.kind != "run":
        return None
    run = house.run(at.name)
    x, y = sheet.px(_along(run.path_m, pad_m(house, at))).tolist()
    return x, y


def _along(path: np.ndarray, far: float) -> np.ndarray:
    corner = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    return np.array([np.interp(far, corner, path[:, axis]) for axis in (0, 1)])


def _arrows(path: np.ndarray) -> list[Markup]:
    """The way of data: a bar where a run begins, arrow heads along it."""
    total = float(np.hypot(*np.diff(path, axis=0).T).sum())
    first = (path[1] - path[0]) / max(np.hypot(*(path[1] - path[0])), 1e-9)
    across = np.array([-first[1], first[0]])
    drawn = [svg.line([path[0] - across * 6, path[0] + across * 6], 2.6)]
    count = max(1, round(total / _ARROW_EVERY))
    for k in range(count):
        at = total * (k + 0.5) / count
        tip, back = _along(path, at + 5), _along(path, at - 5)
        way = (tip - back) / max(np.hypot(*(tip - back)), 1e-9)
        side = np.array([-way[1], way[0]])
        middle = _along(path, at)
        corners = [middle + way * 7, middle - way * 5 + side * 5.5, middle - way * 5 - side * 5.5]
        drawn.append(svg.line([c.tolist() for c in corners], 1.2, ink="ground", fill="ink"))
    return drawn


def _cuts(house: House, sheet: _Measures) -> list[Markup]:
    """Two bars across a run where its + is interrupted."""
    drawn = []
    for cut in cuts_of(house):
        at = sheet.px(np.array(cut.at_m))
        way = np.array([cut.along[0], -cut.along[1]])
        across = np.array([-way[1], way[0]])
        drawn.append(svg.line([(at - way * 3).tolist(), (at + way * 3).tolist()], 5, ink="ground"))
        for side in (-1, 1):
            middle = at + side * way * 2.6
            ends = [(middle - across * 8).tolist(), (middle + across * 8).tolist()]
            drawn.append(svg.line(ends, 2))
    return drawn


def _tags(
    facts: Handover,
    sheet: _Measures,
    ends: list[tuple[int, int, tuple[float, float] | None]],
    boxes: list[tuple[str, tuple[float, float], str]],
) -> list[Tag]:
    """Every label: boxes, feeds, runs; feeds at one spot share one."""
    tags = []
    for name, xy, ink in boxes:
        x, y = sheet.px(np.array(xy)).tolist()
        tags.append(_tag((x, y), (name,), "ink" if ink == "ground" else ink))
    fed: dict[tuple[float, float], list[tuple[int, int]]] = {}
    for number, supply, at in ends:
        if at is not None:
            fed.setdefault((round(at[0], 1), round(at[1], 1)), []).append((number, supply))
    for spot, wires in fed.items():
        words = " ".join(f"W{number}" for number, _ in wires)
        tags.append(_tag(spot, (words,), svg.supply_ink(wires[0][1])))
    for run, patch in zip(facts.house.runs, facts.patches, strict=True):
        x, y = sheet.px(_along(run.path_m, run.length_m / 2)).tolist()
        below = f"{run.present} px"
        if patch.output:
            below += f", output {patch.output}"
        tags.append(_tag((x, y), (run.name, below), "hair"))
    return tags


def _tag(at: tuple[float, float], lines: tuple[str, ...], ink: str) -> Tag:
    kept = tuple(
        svg.fitted(words, SMALL if n else TYPE, 220, bold=not n) for n, words in enumerate(lines)
    )
    wide = max(
        svg.width_of(words, SMALL if n else TYPE, bold=not n) for n, words in enumerate(kept)
    )
    return Tag(at, kept, ink, (wide + 2 * PAD, len(kept) * STEP + 4))


def _placed(
    tags: list[Tag],
    facts: Handover,
    sheet: _Measures,
    paths: list[np.ndarray],
    cables: list[list[list[float]]],
) -> tuple[Tag, ...]:
    anchor = np.array([tag.at for tag in tags]).reshape(-1, 2)
    size = np.array([tag.size for tag in tags]).reshape(-1, 2)
    lines = [_dotted(np.asarray(each)) for each in [*paths, *cables]]
    taken = [
        [x - 8, y - 8, x + 8, y + 8]
        for x, y in (sheet.px(np.array(xy)).tolist() for _, xy, _ in _boxes(facts.house))
    ]
    free = Free(
        (EDGE, EDGE, WIDTH - EDGE, sheet.height - EDGE),
        np.array(taken).reshape(-1, 4),
        anchor,
        np.concatenate([*lines, np.zeros((0, 2))]),
    )
    found = label_places(anchor, size, free, 3.0, orders=3 if len(tags) < _MANY else 1)
    return tuple(
        Tag(tag.at, tag.lines, tag.ink, tag.size, corner)
        for tag, corner in zip(tags, found, strict=True)
    )


def _dotted(way: np.ndarray) -> np.ndarray:
    total = float(np.hypot(*np.diff(way, axis=0).T).sum())
    return np.array([_along(way, far) for far in np.arange(0.0, total, 8.0)]).reshape(-1, 2)


def _leaders(tags: tuple[Tag, ...]) -> list[Markup]:
    drawn = []
    for tag in tags:
        if tag.corner is not None:
            end = leader(tag.at, tag.corner, tag.size)
            if np.hypot(end[0] - tag.at[0], end[1] - tag.at[1]) > 7:
                drawn.append(svg.line([tag.at, end], 0.8, ink="soft"))
    return drawn


def _drawn(tag: Tag) -> list[Markup]:
    if tag.corner is None:
        return []
    x, y = tag.corner
    drawn = [svg.rect(x, y, *tag.size, ink=tag.ink, fill="ground", width=1.1, round_=3)]
    for n, words in enumerate(tag.lines):
        base = y + 2 + (n + 0.78) * STEP
        size = SMALL if n else TYPE
        ink = "soft" if n else "ink"
        drawn.append(svg.text(x + PAD, base, words, size, ink=ink, bold=not n))
    return drawn
