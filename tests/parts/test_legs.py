"""Legs of a run and the angle of the saw."""

import math

import numpy as np
import pytest

from sim.parts.legs import legs


def test_a_straight_run_has_one_square_leg():
    (leg,) = legs(np.array([[0, 2], [1, 2], [1, 2], [3, 2]], float))
    assert leg.length_m == pytest.approx(3)
    assert (leg.start_deg, leg.end_deg, leg.start_free, leg.end_free) == (0, 0, True, True)


# Plane geometry: a polygon's path turns by 360°/n at each corner and the mitre halves it: 45° for a
# square, 30° for a hexagon. A gable of slope s turns by 2·s at its peak.
def test_a_square_is_cut_at_45():
    square = legs(np.array([[0, 0], [1, 0], [1, 1], [0, 1]], float))
    assert [round(leg.end_deg, 9) for leg in square] == [45, 45, 0]
    assert [round(leg.start_deg, 9) for leg in square] == [0, 45, 45]
    assert [leg.start_free for leg in square] == [True, False, False]
    assert [leg.end_free for leg in square] == [False, False, True]


def test_a_hexagon_is_cut_at_30():
    corners = [(math.cos(math.pi / 3 * n), math.sin(math.pi / 3 * n)) for n in range(7)]
    for leg in legs(np.array(corners))[1:-1]:
        assert leg.length_m == pytest.approx(1)
        assert (leg.start_deg, leg.end_deg) == pytest.approx((30, 30))


@pytest.mark.parametrize("slope_deg", [15, 30, 45, 60])
@pytest.mark.parametrize("mirrored", [1, -1])
def test_the_peak_of_a_gable_is_cut_at_its_slope(slope_deg, mirrored):
    rise = math.tan(math.radians(slope_deg))
    left, right = legs(np.array([[0, 0], [2, 2 * rise * mirrored], [4, 0]]))
    assert left.end_deg == pytest.approx(slope_deg)
    assert right.start_deg == pytest.approx(slope_deg)


def test_what_doubles_back_is_not_mitred():
    first, second = legs(np.array([[0, 0], [2, 0], [0, 0.1]], float))
    assert (first.end_deg, second.start_deg) == (0, 0)
    assert first.end_free
    assert second.start_free


def test_a_bend_of_the_drawing_is_no_corner():
    (leg,) = legs(np.array([[0, 0], [2, 0.01], [4, 0.02], [6, 0.05]], float))
    assert leg.length_m == pytest.approx(6, abs=1e-3)
