"""Outlines: what they enclose, how wide they are, and whether they cross themselves."""

from __future__ import annotations

import numpy as np


def area_m2(outline_m: np.ndarray) -> float:
    """Signed area [m²] of a closed polygon (K, 2) [m], positive counterclockwise.

    The shoelace formula; a polygon that crosses itself counts its loops with their signs.
    """
    x, y = outline_m.T
    return float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2


def first_crossing(outline_m: np.ndarray) -> tuple[int, int] | None:
    """The first pair of sides that cross, by the numbers of the points they start at, or None.

    Sides that only touch, as neighbours do, do not cross.
    """
    start, end = outline_m, np.roll(outline_m, -1, axis=0)
    for side in range(len(outline_m) - 2):
        later = slice(side + 2, len(outline_m))
        a = _turn(start[side], end[side], start[later])
        b = _turn(start[side], end[side], end[later])
        c = _turn(start[later], end[later], start[side])
        d = _turn(start[later], end[later], end[side])
        crossing = np.flatnonzero((a * b < 0) & (c * d < 0))
        if len(crossing):
            return side, side + 2 + int(crossing[0])
    return None


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
    two corners.
    """
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
