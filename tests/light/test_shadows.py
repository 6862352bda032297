"""Edges of shadows, against lines drawn past the edges of a board."""

from __future__ import annotations

import numpy as np
import pytest

from layouts.polygon import least_width_m
from layouts.records import Surface
from sim.light import illuminance_lx
from sim.light.relief import CELL_M, FLUSH_M

SOURCE = np.array([5.013, 4.207, 1.5])
THICK_M = 0.2  # across the boards below, and so from their front to their back
#: Outlines of boards: level, rising by a half, rising by two (steeper than most gables).
BOARDS = {
    "level": (0.0, [[2, 3.01], [8, 3.01], [8, 3.21], [2, 3.21]]),
    "slanted": (0.5, [[2, 1.5], [8, 4.5], [8, 4.5 + 0.2236], [2, 1.5 + 0.2236]]),
    "steep": (2.0, [[4.2, 1.4], [5.7, 4.4], [5.7, 4.4 + 0.4472], [4.2, 1.4 + 0.4472]]),
}


def at_source(outline: list[list[float]]) -> tuple[float, float]:
    """Lower and upper edge of a board where a vertical plane through the source cuts it."""
    (x0, y0), (x1, y1), _, (_, top) = outline
    low = y0 + (y1 - y0) * (SOURCE[0] - x0) / (x1 - x0)
    return low, low + top - y0


def past(y_m: float, z_m: float) -> float:
    """Where the line from the source past (y, z) meets the wall z = 0: similar triangles."""
    return y_m - z_m * (SOURCE[1] - y_m) / (SOURCE[2] - z_m)


@pytest.mark.parametrize("size_px", [(320, 180), (1280, 720)])
@pytest.mark.parametrize("depth_m", [0.35, 0.5, 0.9])
@pytest.mark.parametrize("board", sorted(BOARDS))
def test_shadow_edge_of_a_board(house_of, scene_of, wall, full, board, depth_m, size_px):
    slope, outline = BOARDS[board]
    trim = wall((0, 0, 1, 1)).material
    boards = (wall((0, 0, 10, 6)), Surface("board", np.array(outline, float), trim, depth_m))
    house = house_of([SOURCE[:2]], standoff_m=SOURCE[2], surfaces=boards, aim=(0, -1, -1))
    y = np.arange(0.05, 4.0, 0.004)
    places = np.column_stack([np.full_like(y, SOURCE[0]), y, 0 * y])
    dark = y[illuminance_lx(scene_of(house, size_px), full(house), places) == 0]
    low, high = at_source(outline)
    back = depth_m - THICK_M
    # of the four edges of the board's section the outermost lines bound the shadow
    lines = [past(y, z) for y in (low, high) for z in (back, depth_m)]
    # half a cell of the map, straight up from a slanted edge, as the wall magnifies it
    grown = SOURCE[2] / (SOURCE[2] - depth_m)
    off = CELL_M / 2 * (1 + slope) * grown + 0.004
    assert dark.min() == pytest.approx(max(min(lines), y[0]), abs=off)
    assert dark.max() == pytest.approx(max(lines), abs=off)


@pytest.mark.parametrize(("depth_m", "shadow"), [(FLUSH_M - 0.01, False), (FLUSH_M + 0.01, True)])
def test_what_is_flush_throws_no_shadow(house_of, scene_of, wall, full, depth_m, shadow):
    surfaces = (wall((0, 0, 10, 6)), wall((2, 3.01, 8, 3.21), depth_m=depth_m))
    house = house_of([(5, 4.2)], standoff_m=0.3, surfaces=surfaces, aim=(0, -1, -1))
    lit = illuminance_lx(scene_of(house), full(house), (5, 2.9, 0))[0]
    assert bool(lit == 0) is shadow


def test_a_board_before_a_wall_that_stands_out_is_measured_from_that_wall(
    house_of, scene_of, wall, full
):
    surfaces = (wall((0, 0, 10, 6), depth_m=0.6), wall((2, 3.01, 8, 3.21), depth_m=0.65))
    house = house_of([(5, 4.2)], standoff_m=0.3, surfaces=surfaces, aim=(0, -1, -1))
    assert illuminance_lx(scene_of(house), full(house), (5, 2.9, 0.6))[0] > 0  # 5 cm: flush


@pytest.mark.parametrize("name", sorted(BOARDS))
def test_width_of_a_board(name):
    # a parallelogram of height h, rising by k, is h / √(1 + k²) across
    slope, outline = BOARDS[name]
    height = outline[3][1] - outline[0][1]
    want = height / np.hypot(1, slope)
    assert want == pytest.approx(THICK_M, abs=1e-4)
    assert least_width_m(np.array(outline, float)) == pytest.approx(want)


def test_width_of_other_outlines():
    # an equilateral triangle is as narrow as its height; an L as narrow as its hull
    triangle = np.array([[0, 0], [2, 0], [1, np.sqrt(3)]])
    assert least_width_m(triangle) == pytest.approx(np.sqrt(3))
    hook = np.array([[0, 0], [2, 0], [2, 1], [1, 1], [1, 2], [0, 2]], float)
    assert least_width_m(hook) == pytest.approx(2)  # 3/√2 across its corner
    assert least_width_m(np.zeros((3, 2))) == 0
