"""Outlines: area, crossing sides, corners that all turn one way."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts.polygon import area_m2, first_crossing, is_convex


def polygon(*points: tuple[float, float]) -> np.ndarray:
    return np.array(points, dtype=float)


SQUARE = polygon((0, 0), (2, 0), (2, 2), (0, 2))


def test_area() -> None:
    assert area_m2(SQUARE) == 4
    assert area_m2(SQUARE[::-1]) == -4
    assert area_m2(polygon((0, 0), (4, 0), (0, 3))) == 6


@given(st.floats(-50, 50), st.floats(-50, 50), st.integers(3, 60), st.floats(0.5, 20))
def test_regular_polygons(x: float, y: float, corners: int, radius: float) -> None:
    angle = np.arange(corners) * 2 * np.pi / corners
    outline = np.column_stack([x + radius * np.cos(angle), y + radius * np.sin(angle)])
    # Area of a regular polygon of n corners: n/2 · r² · sin(2π/n).
    expected = corners / 2 * radius**2 * np.sin(2 * np.pi / corners)
    assert area_m2(outline) == pytest.approx(expected, rel=1e-6)
    assert first_crossing(outline) is None
    assert is_convex(outline)
    swapped = outline.copy()
    if corners >= 5:
        swapped[[1, 3]] = swapped[[3, 1]]
        assert first_crossing(swapped) is not None
        assert not is_convex(swapped)


def test_crossing_sides_are_named() -> None:
    assert first_crossing(SQUARE[[0, 2, 1, 3]]) == (0, 2)
    arrow = polygon((0, 0), (4, 0), (4, 4), (2, 1), (0, 4))
    assert first_crossing(arrow) is None
    assert not is_convex(arrow)


def test_sides_that_only_touch_do_not_cross() -> None:
    keyhole = polygon((0, 0), (4, 0), (4, 4), (2, 0), (0, 4))
    assert first_crossing(keyhole) is None
