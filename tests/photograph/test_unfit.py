"""Points that cannot fix a wall, each told for what it is."""

from __future__ import annotations

import numpy as np
import pytest

from layouts.photograph import UnfitPoints, fit_plane, rectangle_m

SIZE = (1600, 1200)
WALL_M = rectangle_m(8, 3)
WALL_PX = np.array([[120, 640], [1480, 560], [1420, 180], [180, 60]], dtype=float)


@pytest.mark.parametrize(
    ("pixel", "at", "told"),
    [
        (WALL_PX[:3], WALL_M[:3], "3 known points are too few; give at least four"),
        (WALL_PX[:1], WALL_M[:1], "1 known point is too few"),
        (np.zeros((0, 2)), np.zeros((0, 2)), "0 known points are too few"),
        (
            WALL_PX,
            [[0, 0], [4, 0], [8, 0], [8, 3]],
            "points 1, 2 and 3 lie on one line on the wall",
        ),
        (
            [[100, 600], [800, 600], [1500, 600], [1500, 100]],
            WALL_M,
            "points 1, 2 and 3 lie on one line in the photograph",
        ),
        (WALL_PX, [[0, 0], [2, 0], [5, 0], [8, 0]], "all points lie on one line on the wall"),
        (
            [[100, 600], [400, 600], [900, 600], [1500, 600], [700, 100]],
            [[0, 0], [2, 0], [5, 0], [8, 0], [4, 3]],
            "all points but one lie on one line",
        ),
        (WALL_PX[[0, 0, 2, 3]], WALL_M, "points 1 and 2 are the same pixel"),
        (WALL_PX, WALL_M[[0, 1, 2, 2]], "points 3 and 4 are the same place on the wall"),
        (WALL_PX[[0, 2, 1, 3]], WALL_M, "see whether two of them were exchanged, such as 2 and 3"),
        (WALL_PX[[1, 0, 3, 2]], WALL_M, "the wall would be seen mirrored"),
        (WALL_PX[[3, 2, 1, 0]], WALL_M, "the wall would be seen mirrored"),
        (WALL_PX[[2, 3, 0, 1]], WALL_M, "the wall would be seen upside down"),
        (WALL_PX[[1, 2, 3, 0]], WALL_M, "the wall would be seen lying on its side"),
        (np.where(WALL_PX == 120, np.nan, WALL_PX), WALL_M, "a point is no finite number"),
    ],
)
def test_points_that_fix_no_wall(pixel, at, told):
    with pytest.raises(UnfitPoints, match=told):
        fit_plane(np.array(pixel, dtype=float), np.array(at, dtype=float), SIZE)
