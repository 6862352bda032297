"""A wall from lengths along its two directions, where no point's place is known.

What is needed: at least two level lines and two upright ones drawn on the wall, for where each kind
meets says how the wall is turned; and the length of one line of each kind, for two such lines leave
both scales free. A door's frame is enough: its sides upright, its head and sill level, 2.00 m and
0.90 m. Lines farther apart say more.

With the vanishing points v_x, v_y of the two kinds and any origin o in the picture

    H = [a·v_x  b·v_y  o]

takes (x, y) of the wall to pixels, and the two known lengths say a and b. (Hartley and Zisserman
chapter 2, from memory.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from layouts.photograph.faults import UnfitPoints, check_points
from layouts.photograph.homography import project
from layouts.photograph.lens import NONE, lens_coordinates, to_ideal
from layouts.photograph.lines import centred_segments, vanishing_point
from layouts.photograph.plane import Plane, check_lens, to_pixel, to_wall


@dataclass(frozen=True, eq=False)
class DrawnLine:
    """A line drawn on the wall, level or upright, of a known length or of none."""

    pixel: np.ndarray  # (2, 2) from left to right, or from below upwards, as seen
    length_m: float | None = None


def plane_from_lengths(
    level: Sequence[DrawnLine],
    upright: Sequence[DrawnLine],
    size_px: tuple[int, int],
    lens: tuple[float, ...] = NONE,
    origin: tuple[np.ndarray | Sequence[float], np.ndarray | Sequence[float]] | None = None,
) -> Plane:
    """Lines of the wall -> the plane.

    level, upright : two or more each, at least one of each with its length; where more lengths are
        known than needed, the scale is their mean weighted by length (least squares)
    origin : a pixel and its place on the wall [m]; the lower end of the first upright line of known
        length at (0, 0) if left out
    Raises UnfitPoints where the lines do not fix a wall.
    """
    check_lens(lens)
    for lines, word in ((level, "level"), (upright, "upright")):
        if len(lines) < 2:
            raise UnfitPoints(
                f"{len(lines) or 'no'} {word} line{'' if len(lines) == 1 else 's'}"
                f" {'is' if len(lines) == 1 else 'are'} too few",
                f"draw two {word} lines of the wall, such as the edges of a door",
            )
        if all(line.length_m is None for line in lines):
            raise UnfitPoints(f"no {word} line has a length", f"give one of the {word} lines its")
        if any(line.length_m is not None and not line.length_m > 0 for line in lines):
            raise UnfitPoints(f"a {word} line has no length above 0", "give it in metres or feet")
    sides = [
        centred_segments(np.array([each.pixel for each in lines], dtype=float), lens, size_px)
        for lines in (level, upright)
    ]
    meets = [_pointing(vanishing_point(each), each) for each in sides]
    measured = next(i for i, line in enumerate(upright) if line.length_m is not None)
    start = sides[1][measured][0] if origin is None else _one(origin[0], lens, size_px)
    unscaled = np.column_stack([*meets, np.append(start, 1.0)])
    if np.linalg.cond(unscaled) > 1e6:
        raise UnfitPoints(
            "the level and the upright lines run the same way", "see which line is which"
        )
    grown = []
    for axis, (lines, ends) in enumerate(zip((level, upright), sides, strict=True)):
        known = [i for i, line in enumerate(lines) if line.length_m is not None]
        place = project(np.linalg.inv(unscaled), ends[known])
        apart = place[:, 1, axis] - place[:, 0, axis]
        length = np.array([lines[i].length_m for i in known], dtype=float)
        grown.append(float(apart @ length / (length @ length)))
    if not (np.isfinite(grown).all() and min(grown) > 0):
        raise UnfitPoints(
            "the lines do not fit one wall", "see whether one of them lies on another wall"
        )
    half = np.hypot(*size_px) / 2
    to_px = np.array([[half, 0, size_px[0] / 2], [0, half, size_px[1] / 2], [0, 0, 1]])
    made = to_px @ unscaled @ np.diag([*grown, 1.0])
    if origin is not None:
        x, y = (float(each) for each in origin[1])
        made = made @ np.array([[1, 0, -x], [0, 1, -y], [0, 0, 1]])
    made = made / np.linalg.norm(made)
    plane = Plane(made if made[2] @ _middle(made, sides, to_px) > 0 else -made, size_px, lens)
    ends = np.concatenate([np.asarray(line.pixel, dtype=float) for line in (*level, *upright)])
    if not np.isfinite(to_wall(plane, ends)).all():
        raise UnfitPoints(
            "the lines do not fit one wall", "see whether one of them lies on another wall"
        )
    pixel, at = known_points(plane, ends)
    check_points(to_ideal(pixel, lens, size_px), at)
    return plane


def known_points(plane: Plane, around_px: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Four points that say the same wall: (4, 2) pixels as seen and (4, 2) places [m].

    They are the corners of the box on the wall around (N, 2) pixels: lower left, lower right, upper
    right, upper left.
    """
    at = to_wall(plane, around_px)
    low, high = at.min(axis=0), at.max(axis=0)
    box = np.array([low, [high[0], low[1]], high, [low[0], high[1]]])
    return to_pixel(plane, box), box


def rectangle_m(width_m: float, height_m: float) -> np.ndarray:
    """(4, 2) the corners of a rectangle of known size: lower left, right, upper right, left [m]."""
    return np.array([[0, 0], [width_m, 0], [width_m, height_m], [0, height_m]], dtype=float)


def _one(
    pixel: np.ndarray | Sequence[float], lens: tuple[float, ...], size_px: tuple[int, int]
) -> np.ndarray:
    return lens_coordinates(to_ideal(np.asarray(pixel, dtype=float), lens, size_px), size_px)


def _pointing(meet: np.ndarray, segments: np.ndarray) -> np.ndarray:
    """The vanishing point with the sign that has lines run from their start to their end.

    From p along v one comes to p + s·v ~ p + s·(v_xy − v_w·p): that must point as the line does.
    """
    start, end = segments[:, 0], segments[:, 1]
    way = meet[:2] - meet[2] * start
    return meet if float(np.sum(way * (end - start))) > 0 else -meet


def _middle(made: np.ndarray, sides: list[np.ndarray], to_px: np.ndarray) -> np.ndarray:
    """(3,) a place of the wall, homogeneous, where the drawn lines are."""
    seen = np.concatenate(sides).reshape(-1, 2).mean(axis=0)
    place = np.linalg.solve(made, to_px @ np.append(seen, 1.0))
    return place / place[2]
