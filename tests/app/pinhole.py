"""Marks on the photograph of a wall that a pinhole camera of our own has taken."""

from __future__ import annotations

import numpy as np

from layouts.photograph import to_seen, to_wall
from layouts.photograph.homography import homography_of, project
from sim.app.state.straightening import MarkedShape, Pixel
from sim.app.state.straightening_fit import fit_of

SIZE = (2000, 1500)
LENS = (-0.06, 0.0)
#: A wall of 8 by 3 m as a pinhole camera sees it: four corners of our own choosing.
CORNERS_M = np.array([[0, 0], [8, 0], [8, 3], [0, 3]], dtype=float)
CORNERS = np.array([[470, 1330], [1750, 1180], [1716, 640], [500, 560]], dtype=float)
CAMERA = homography_of(CORNERS_M, CORNERS)


def seen(x: float, y: float, lens: tuple[float, float] = (0.0, 0.0)) -> Pixel:
    """Where a place of the wall [m] is on the photograph."""
    u, v = to_seen(project(CAMERA, np.array([x, y], dtype=float)), lens, SIZE)
    return Pixel(float(u), float(v))


def point(x: float, y: float, off: tuple[float, float] = (0, 0)) -> MarkedShape:
    at = seen(x, y)
    return MarkedShape("point", (Pixel(at.u + off[0], at.v + off[1]),), f"{x}, {y}")


def door(at: str = " at 3, 0") -> MarkedShape:
    marks = tuple(seen(x, y) for x, y in ((3, 0), (3.9, 0), (3.9, 2), (3, 2)))
    return MarkedShape("rectangle", marks, f"0.9 m x 2 m{at}")


def length(a: tuple[float, float], b: tuple[float, float], text: str = "") -> MarkedShape:
    return MarkedShape("length", (seen(*a), seen(*b)), text)


def on_wall(shapes: tuple[MarkedShape, ...], x: float, y: float) -> np.ndarray:
    plane = fit_of(shapes, "m", SIZE).plane
    assert plane is not None
    return to_wall(plane, np.array(seen(x, y)))
