"""Paths as polylines: every curve within a stated distance of its chords.

A Bézier curve leaves the chords of n equal steps of its parameter by at most M/(8 n²), where M
bounds its second derivative (the error of linear interpolation); an arc whose larger radius is r by
r (1 - cos(θ/2)) for steps of θ.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from svgelements import Path

#: More points than this no curve of a house needs.
MAX_STEPS = 2000


def polylines(path: Path, tolerance: float) -> list[tuple[np.ndarray, bool]]:
    """The subpaths of `path`, each as points (N, 2) and whether it is closed.

    Coordinates and `tolerance` are in the units of the path.
    """
    from svgelements import Close, Move

    found: list[tuple[list[np.ndarray], bool]] = []
    for segment in path:
        if isinstance(segment, Move):
            found.append(([_xy(segment.end)], False))
            continue
        if segment.start is None or segment.end is None:
            continue
        if not found or found[-1][1]:  # drawing goes on where a closed part began
            found.append(([_xy(segment.start)], False))
        points = found[-1][0]
        if isinstance(segment, Close):
            found[-1] = (points, True)
        else:
            points.extend(_along(segment, tolerance))
    made = [(_distinct(np.array(points)), closed) for points, closed in found]
    return [(points, closed) for points, closed in made if len(points) > 1]


def _xy(point: object) -> np.ndarray:
    return np.array([point.x, point.y], dtype=float)  # type: ignore[attr-defined]


def _along(segment: object, tolerance: float) -> list[np.ndarray]:
    """Points along a segment, without its first."""
    from svgelements import Arc, CubicBezier, QuadraticBezier

    if isinstance(segment, QuadraticBezier):
        corners = [_xy(each) for each in (segment.start, segment.control, segment.end)]
        bend = 2 * float(np.hypot(*(corners[0] - 2 * corners[1] + corners[2])))
        steps = math.sqrt(bend / 8 / tolerance)
    elif isinstance(segment, CubicBezier):
        held = (segment.start, segment.control1, segment.control2, segment.end)
        a, b, c, d = (_xy(each) for each in held)
        bend = 6 * max(float(np.hypot(*(a - 2 * b + c))), float(np.hypot(*(b - 2 * c + d))))
        steps = math.sqrt(bend / 8 / tolerance)
    elif isinstance(segment, Arc):
        radius = max(abs(segment.rx), abs(segment.ry))
        angle = 2 * math.acos(max(1 - tolerance / radius, 0.0)) if radius > 0 else math.pi
        steps = abs(segment.sweep) / angle if angle > 0 else math.inf
    else:
        return [_xy(segment.end)]  # type: ignore[attr-defined]
    count = min(max(math.ceil(steps), 1), MAX_STEPS) if math.isfinite(steps) else MAX_STEPS
    return [_xy(segment.point(step / count)) for step in range(1, count)] + [_xy(segment.end)]


def _distinct(points: np.ndarray) -> np.ndarray:
    """Points without those that repeat the one before."""
    if len(points) < 2:
        return points
    keep = np.r_[True, np.any(np.diff(points, axis=0) != 0, axis=1)]
    return points[keep]
