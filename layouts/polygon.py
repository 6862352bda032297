"""Outlines: what they enclose, how wide they are, and whether they cross themselves."""

from __future__ import annotations

import numpy as np

#: Corners from which on every pair of them would be too many.
_MANY = 100


def area_m2(outline_m: np.ndarray) -> float:
    """Signed area [m²] of a closed polygon (K, 2) [m], positive counterclockwise.

    The shoelace formula; a polygon that crosses itself counts its loops with their signs.
    """
    x, y = outline_m.T
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2


def first_crossing(outline_m: np.ndarray) -> tuple[int, int] | None:
    """The first pair of sides that cross, by the numbers of the points they start at, or None.

    Sides that only touch, as neighbours do, do not cross. Only sides whose boxes overlap are
    looked at: of an outline of thousands of points a few.
    """
    start, end = outline_m, np.roll(outline_m, -1, axis=0)
    side, later = _overlapping(np.minimum(start, end), np.maximum(start, end))
    side, later = np.minimum(side, later), np.maximum(side, later)
    apart = later - side > 1
    side, later = side[apart], later[apart]
    a = _turn(start[side], end[side], start[later])
    b = _turn(start[side], end[side], end[later])
    c = _turn(start[later], end[later], start[side])
    d = _turn(start[later], end[later], end[side])
    crossing = (a * b < 0) & (c * d < 0)
    if not crossing.any():
        return None
    return min(zip(side[crossing].tolist(), later[crossing].tolist(), strict=True))


def _overlapping(low: np.ndarray, high: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The pairs of boxes, from `low` (K, 2) to `high`, that touch or overlap, each once."""
    count = len(low)
    order = np.argsort(low, axis=0, kind="stable")
    # Along x and along y: how many boxes begin after each and before its end.
    begins = np.take_along_axis(low, order, axis=0)
    ends = np.take_along_axis(high, order, axis=0)
    after = np.arange(1, count + 1)
    many = [np.searchsorted(begins[:, k], ends[:, k], side="right") - after for k in (0, 1)]
    axis = int(many[1].sum() < many[0].sum())
    number, others = order[:, axis], many[axis]
    first = np.repeat(np.arange(count), others)
    second = first + 1 + np.arange(len(first)) - np.repeat(np.cumsum(others) - others, others)
    one, other = number[first], number[second]
    across = 1 - axis
    meet = (low[one, across] <= high[other, across]) & (low[other, across] <= high[one, across])
    return one[meet], other[meet]


def inside(outline_m: np.ndarray, xy_m: np.ndarray) -> np.ndarray:
    """(K, 2) outline, (N, 2) places -> (N,) bool, by counting crossed edges."""
    ax, ay = outline_m[:, 0, None], outline_m[:, 1, None]
    bx, by = np.roll(outline_m, -1, axis=0).T[..., None]
    x, y = xy_m[:, 0], xy_m[:, 1]
    spans = (ay > y) != (by > y)
    with np.errstate(divide="ignore", invalid="ignore"):
        crossing = ax + (y - ay) / (by - ay) * (bx - ax)
    return (np.count_nonzero(spans & (x < crossing), axis=0) % 2).astype(bool)


def least_width_m(outline_m: np.ndarray) -> float:
    """The narrowest a polygon (K, 2) is in any direction [m]: the width of a board, slanted or not.

    The narrowest way across lies square to a side of the convex hull, and every such side joins
    two corners. Of many corners the hull's sides are looked for first.
    """
    if len(outline_m) > _MANY:
        from scipy.spatial import ConvexHull

        outline_m = outline_m[ConvexHull(outline_m).vertices]
        ways = np.roll(outline_m, -1, axis=0) - outline_m
    else:
        ways = (outline_m[:, None] - outline_m).reshape(-1, 2)
    length = np.hypot(*ways.T)
    across = ways[length > 0][:, ::-1] * (1, -1) / length[length > 0][:, None]
    return float(np.ptp(outline_m @ across.T, axis=0).min()) if len(across) else 0.0


def is_convex(outline_m: np.ndarray) -> bool:
    """Whether every corner of a closed polygon (K, 2) turns the same way."""
    turns = _turn(np.roll(outline_m, 1, axis=0), outline_m, np.roll(outline_m, -1, axis=0))
    return bool(np.all(turns > 0) or np.all(turns < 0))


def _turn(a: np.ndarray, b: np.ndarray, c: np.ndarray) -> np.ndarray:
    """Twice the area of the triangles a, b, c: positive where c lies left of a to b."""
    ab, ac = b - a, c - a
    return ab[..., 0] * ac[..., 1] - ab[..., 1] * ac[..., 0]
