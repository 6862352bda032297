"""The line along the uppermost of some places of a wall."""

from __future__ import annotations

import math

import numpy as np

#: A piece that climbs more steeply is a corner of the house, no eave and no gable [degrees]:
#: a choice.
STEEPEST_DEG = 60.0
#: A place nearer than this to a straight line lies on it [m]; a choice.
ON_LINE_M = 0.05


def skyline(at_m: np.ndarray) -> np.ndarray:
    """(K, 2) [m] from left to right over (N, 2) places, none above it: two points or more.

    Upright pieces at the ends are left out, so that two corners and a ridge make a gable. Level at
    the uppermost place where nothing else is left.
    """
    points = sorted(map(tuple, np.asarray(at_m, dtype=float).tolist()))
    hull: list[tuple[float, float]] = []
    for point in points:
        while len(hull) > 1 and _below(hull[-2], hull[-1], point):
            hull.pop()
        hull.append(point)
    while len(hull) > 1 and _steep(hull[0], hull[1]):
        hull.pop(0)
    while len(hull) > 1 and _steep(hull[-2], hull[-1]):
        hull.pop()
    if len(hull) > 1:
        return np.array(hull)
    (left, _), (right, top) = np.min(at_m, axis=0), np.max(at_m, axis=0)
    return np.array([[left, top], [right, top]])


def _below(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> bool:
    """Whether b does not stand out above the line from a to c."""
    wide, tall = c[0] - a[0], c[1] - a[1]
    apart = math.hypot(wide, tall)
    above = wide * (b[1] - a[1]) - tall * (b[0] - a[0])
    return above <= ON_LINE_M * apart


def _steep(a: tuple[float, float], b: tuple[float, float]) -> bool:
    return abs(b[1] - a[1]) > math.tan(math.radians(STEEPEST_DEG)) * abs(b[0] - a[0])
