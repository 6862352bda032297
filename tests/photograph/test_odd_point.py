"""Which of the known points is wrong, and where a new house's first run goes."""

from __future__ import annotations

import numpy as np
import pytest

from layouts.photograph import fit_plane, odd_point, skyline, to_pixel

SIZE = (1600, 1200)
# A wall of 10 m, 3 m to the eaves and 5.5 m to the ridge, as in a photograph from slightly aslant;
# the pixels follow from the first four by a homography, which is what a camera does to a plane.
AT = np.array([[0, 0], [10, 0], [10, 3], [0, 3], [5, 5.5], [1, 1]], dtype=float)
CORNERS = np.array([[342, 957], [1291, 942], [1303, 682], [353, 677]], dtype=float)
PIXEL = to_pixel(fit_plane(CORNERS, AT[:4], SIZE), AT)


@pytest.mark.parametrize("number", range(6))
def test_the_mistyped_place_is_named(number):
    wrong = AT.copy()
    wrong[number, 1] += 1.0
    odd = odd_point(PIXEL, wrong, SIZE, (0.0, 0.0), 0.05)
    assert odd is not None
    assert odd.number == number
    # its pixel is seen where it truly is, a metre from where it was typed
    assert odd.seen_m == pytest.approx(AT[number], abs=1e-3)
    assert odd.off_m == pytest.approx(1.0, abs=1e-3)
    assert odd.others_m < 1e-3


def test_none_is_named_where_all_agree_or_none_can_be_told():
    assert odd_point(PIXEL, AT, SIZE, (0.0, 0.0), 0.05) is None
    two = AT.copy()
    two[4, 1] += 1.0
    two[5, 0] += 2.0
    assert odd_point(PIXEL, two, SIZE, (0.0, 0.0), 0.05) is None  # two are wrong
    five = AT[:5].copy()
    five[4, 1] += 1.0
    assert odd_point(PIXEL[:5], five, SIZE, (0.0, 0.0), 0.05) is None  # any four fit


@pytest.mark.parametrize(
    ("at", "line"),
    [
        (AT, [[0, 3], [5, 5.5], [10, 3]]),  # corners and a ridge: a gable, not level at the ridge
        (AT[:4], [[0, 3], [10, 3]]),  # corners alone: the eave
        ([[0, 0], [1, 3], [9, 3], [10, 0]], [[1, 3], [9, 3]]),  # no run up a corner
        ([[0, 0], [0, 2], [4, 2.03], [8, 2], [8, 0]], [[0, 2], [8, 2]]),  # picked 3 cm too high
        ([[0, 0], [0.1, 4], [0.2, 0]], [[0, 4], [0.2, 4]]),  # nothing else is left
    ],
)
def test_the_first_run_goes_along_the_uppermost_points(at, line):
    assert skyline(np.array(at, dtype=float)) == pytest.approx(np.array(line, dtype=float))
