"""What a compound path encloses, as simple polygons that paint the same area.

A surface has one outline that does not cross itself. A path with holes, with several parts or
with crossings is cut into upright slabs at every corner and crossing; in each slab the rule of
SVG (nonzero or even-odd) says which trapezoids are inside, and neighbours that share a whole side
are joined again.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field

import numpy as np

#: More sides than this would take too long to cut [sides].
MAX_SIDES = 3000


@dataclass
class _Piece:
    """A polygon that grows to the right: its lower and upper side, from left to right."""

    low: list[tuple[float, float]] = field(default_factory=list)
    high: list[tuple[float, float]] = field(default_factory=list)

    def outline(self) -> np.ndarray:
        points = _straight(self.low) + _straight(self.high)[::-1]
        kept = [p for i, p in enumerate(points) if p != points[i - 1]]
        return np.array(kept)


def pieces(rings: list[np.ndarray], rule: str) -> list[np.ndarray]:
    """The polygons (N, 2) that the closed `rings` enclose by `rule`, "nonzero" or "evenodd".

    Raises ValueError for more sides than can be cut.
    """
    sides = np.concatenate([np.stack([ring, np.roll(ring, -1, axis=0)], axis=1) for ring in rings])
    turned = sides[:, 0, 0] > sides[:, 1, 0]
    winds = np.where(turned, -1, 1)
    sides = np.where(turned[:, None, None], sides[:, ::-1], sides)
    leaning = sides[:, 0, 0] < sides[:, 1, 0]  # upright sides bound no slab
    sides, winds = sides[leaning], winds[leaning]
    if len(sides) > MAX_SIDES:
        raise ValueError(f"{len(sides)} sides, where {MAX_SIDES} can be cut")
    edges = np.unique(np.concatenate([sides[:, :, 0].ravel(), _crossings(sides)]))
    open_pieces: list[_Piece] = []
    done: list[_Piece] = []
    for x0, x1 in itertools.pairwise(edges.tolist()):
        growing = []
        for low, high in _inside(sides, winds, rule, x0, x1):
            shared = (low[0], high[0])  # a point alone joins nothing
            found = (p for p in open_pieces if (p.low[-1], p.high[-1]) == shared)
            piece = next(found, None) if low[0] != high[0] else None
            if piece is None:
                piece = _Piece([low[0]], [high[0]])
            else:
                open_pieces.remove(piece)
            piece.low.append(low[1])
            piece.high.append(high[1])
            growing.append(piece)
        done += open_pieces
        open_pieces = growing
    outlines = [piece.outline() for piece in done + open_pieces]
    return [outline for outline in outlines if len(outline) >= 3]


_Side = tuple[tuple[float, float], tuple[float, float]]


def _inside(
    sides: np.ndarray, winds: np.ndarray, rule: str, x0: float, x1: float
) -> list[tuple[_Side, _Side]]:
    """The trapezoids between `x0` and `x1` that are inside, each by its lower and upper side."""
    across = (sides[:, 0, 0] <= x0) & (sides[:, 1, 0] >= x1)
    begin, end = sides[across, 0], sides[across, 1]
    slope = (end[:, 1] - begin[:, 1]) / (end[:, 0] - begin[:, 0])
    y0 = np.where(begin[:, 0] == x0, begin[:, 1], begin[:, 1] + slope * (x0 - begin[:, 0]))
    y1 = np.where(end[:, 0] == x1, end[:, 1], begin[:, 1] + slope * (x1 - begin[:, 0]))
    # corners that two sides share must come out as the same number on both sides of an edge
    y0, y1 = np.round(y0, 6), np.round(y1, 6)
    order = np.lexsort((y1, y0, y0 + y1))
    found: list[tuple[_Side, _Side]] = []
    wind, lower = 0, -1
    for index in order:
        was = wind % 2 if rule == "evenodd" else wind
        wind += int(winds[across][index])
        now = wind % 2 if rule == "evenodd" else wind
        if not was and now:
            lower = int(index)
        elif was and not now:
            low = ((x0, float(y0[lower])), (x1, float(y1[lower])))
            high = ((x0, float(y0[index])), (x1, float(y1[index])))
            if low != high:
                found.append((low, high))
    return found


def _crossings(sides: np.ndarray) -> np.ndarray:
    """The x of every place where two sides cross."""
    found = [np.empty(0)]
    begin, along = sides[:, 0], sides[:, 1] - sides[:, 0]
    for index in range(len(sides) - 1):
        rest = slice(index + 1, None)
        cross = along[index, 0] * along[rest, 1] - along[index, 1] * along[rest, 0]
        gap = begin[rest] - begin[index]
        with np.errstate(divide="ignore", invalid="ignore"):
            own = (gap[:, 0] * along[rest, 1] - gap[:, 1] * along[rest, 0]) / cross
            other = (gap[:, 0] * along[index, 1] - gap[:, 1] * along[index, 0]) / cross
        meet = (cross != 0) & (own > 0) & (own < 1) & (other > 0) & (other < 1)
        found.append(begin[index, 0] + own[meet] * along[index, 0])
    return np.concatenate(found)


def _straight(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """The points without those on the straight line between their neighbours."""
    made = points[:2]
    for point in points[2:]:
        (ax, ay), (bx, by) = made[-2], made[-1]
        bend = (bx - ax) * (point[1] - ay) - (by - ay) * (point[0] - ax)
        if abs(bend) <= 1e-6 * (point[0] - ax):
            made.pop()
        made.append(point)
    return made
