"""Why points cannot fix a wall: what is wrong with them, and what to do."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from layouts.errors import EvenfallError
from layouts.photograph.homography import firmness, homography_of

#: Three points of four that enclose less than this share of a square around all lie on a line.
THIN = 0.004
#: Below this (see `firmness`) more than four points do not fix the wall either.
LOOSE_FIT = 1e-3
LEAST_POINTS = 4
#: A map that needs the wall to be so much larger at one end than at the other is no photograph.
STEEPEST = 50.0


class UnfitPoints(EvenfallError):
    """Points, lines or a lens that cannot straighten a photograph; `what` and `do` say why."""

    def __init__(self, what: str, do: str):
        self.what, self.do = what, do
        super().__init__(f"{what}; {do}")


def check_points(pixel: np.ndarray, at_m: np.ndarray) -> None:
    """Raise UnfitPoints where (N, 2) pixels and (N, 2) places [m] do not fix a wall.

    Pixels are those of a perfect lens, v downwards; places have y upwards.
    """
    _enough(pixel, "in the photograph")
    _enough(at_m, "on the wall")
    _twice(pixel, "the same pixel")
    _twice(at_m, "the same place on the wall")
    _on_a_line(pixel, at_m)
    found = homography_of(at_m, pixel)
    ahead = np.column_stack([at_m, np.ones(len(at_m))]) @ found[2]
    if ahead.min() <= 0 or ahead.max() > STEEPEST * ahead.min():
        what = "no camera sees the points like that: they do not go around in the same order"
        raise UnfitPoints(what, "see whether two of them were exchanged" + _exchange(pixel, at_m))
    middle = np.append(at_m.mean(axis=0), 1.0)
    w = found[2] @ middle
    slope = found[:2, :2] - np.outer(found[:2] @ middle / w, found[2, :2])
    if np.linalg.det(slope) > 0:
        raise UnfitPoints(
            "the wall would be seen mirrored",
            "count x to the right and y upwards on the wall, pixels to the right and downwards from"
            " the photograph's upper left corner",
        )
    if slope[1, 1] > 0 or abs(slope[1, 0]) > abs(slope[1, 1]):
        turned = "upside down" if slope[1, 1] > abs(slope[1, 0]) else "lying on its side"
        raise UnfitPoints(
            f"the wall would be seen {turned}",
            "turn the photograph upright, or see whether points were exchanged",
        )


def _enough(points: np.ndarray, where: str) -> None:
    if points.ndim != 2 or points.shape[-1] != 2:
        raise UnfitPoints(f"every point needs two coordinates {where}", "give both")
    if len(points) < LEAST_POINTS:
        raise UnfitPoints(
            f"{len(points)} known point{'s are' if len(points) != 1 else ' is'} too few",
            "give at least four on the wall, no three of them on a line",
        )
    if not np.isfinite(points).all():
        raise UnfitPoints("a point is no finite number", "give numbers")


def _twice(points: np.ndarray, what: str) -> None:
    reach = float(np.ptp(points, axis=0).max())
    for i, j in combinations(range(len(points)), 2):
        if np.hypot(*(points[i] - points[j])) <= 1e-6 * max(reach, 1e-9):
            raise UnfitPoints(f"points {i + 1} and {j + 1} are {what}", "leave one out")


def _on_a_line(pixel: np.ndarray, at_m: np.ndarray) -> None:
    more = "add a point off that line, for instance a corner of a window"
    for points, where in ((at_m, "on the wall"), (pixel, "in the photograph")):
        spread = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
        if spread[1] < THIN * spread[0]:
            raise UnfitPoints(f"all points lie on one line {where}", more)
        if len(points) > LEAST_POINTS:
            continue
        for three in combinations(range(LEAST_POINTS), 3):
            a, b, c = points[list(three)]
            longest = max(np.hypot(*(b - a)), np.hypot(*(c - b)), np.hypot(*(a - c)))
            (px, py), (qx, qy) = b - a, c - a
            if abs(px * qy - py * qx) < THIN * longest * longest:
                first, second, third = (each + 1 for each in three)
                raise UnfitPoints(
                    f"points {first}, {second} and {third} lie on one line {where}", more
                )
    if len(pixel) > LEAST_POINTS and min(firmness(at_m), firmness(pixel)) < LOOSE_FIT:
        raise UnfitPoints("all points but one lie on one line", more)


def _exchange(pixel: np.ndarray, at_m: np.ndarray) -> str:
    """Which two points, once exchanged, make a picture that a camera can take; '' where unclear."""
    fits = []
    for i, j in combinations(range(len(pixel)), 2):
        order = np.arange(len(pixel))
        order[[i, j]] = j, i
        found = homography_of(at_m, pixel[order])
        ahead = np.column_stack([at_m, np.ones(len(at_m))]) @ found[2]
        middle = np.append(at_m.mean(axis=0), 1.0)
        slope = found[:2, :2] - np.outer(found[:2] @ middle / (found[2] @ middle), found[2, :2])
        if ahead.min() > 0 and np.linalg.det(slope) < 0 and slope[1, 1] < 0:
            fits.append((i + 1, j + 1))
    return f", such as {fits[0][0]} and {fits[0][1]}" if fits else ""
