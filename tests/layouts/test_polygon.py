"""Outlines: area, crossing sides, corners that all turn one way."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts.polygon import area_m2, first_crossing, is_convex, least_width_m


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


def _turn(a, b, c):
    """Exact for whole numbers."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def test_the_first_crossing_is_that_of_every_pair_looked_at():
    """Against all pairs of sides in whole numbers of Python, which do not round."""
    rng = np.random.default_rng(7)
    found = 0
    for count in [*range(3, 12)] * 12:
        points = [(int(x), int(y)) for x, y in rng.integers(0, 12, (count, 2))]
        sides = list(zip(points, points[1:] + points[:1], strict=True))
        pairs = (
            (i, j)
            for i, (p, q) in enumerate(sides)
            for j, (r, s) in enumerate(sides)
            if j > i + 1
            and _turn(p, q, r) * _turn(p, q, s) < 0
            and _turn(r, s, p) * _turn(r, s, q) < 0
        )
        first = next(pairs, None)
        assert first_crossing(np.array(points, dtype=float)) == first
        found += first is not None
    assert 20 < found < 100


def test_the_width_of_many_corners():
    # A circle of 2000 corners is as wide as its radius says, within 1 − cos(π/2000), and a slanted
    # board with a corner every centimetre as wide as it was made.
    turn = np.linspace(0, 2 * np.pi, 2000, endpoint=False)
    circle = 3 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    assert least_width_m(circle) == pytest.approx(6, rel=2e-6)
    along = np.arange(0, 2, 0.01)
    board = np.concatenate(
        [np.stack([along, 0 * along], 1), np.stack([along[::-1], 0 * along + 0.2], 1)]
    )
    slant = np.array([[0.8, -0.6], [0.6, 0.8]])
    assert least_width_m(board @ slant) == pytest.approx(0.2, rel=1e-9)
