"""Paths through zones, worked out by hand on an eave of 4 m and two rakes of 2.83 m."""

from __future__ import annotations

import numpy as np
import pytest

from effects.place import place
from layouts.errors import EvenfallError

RAKE = np.hypot(2, 2)
PITCH = RAKE / 150


def along(house, *zones, direction="forward"):
    index, where = place(house, zones, direction)
    path = np.full(len(house.pixels), np.nan)
    path[index] = where.along_m
    return path, where


def test_zones_join_in_the_order_given(wall):
    left, right = wall.run("rake-left").pixels, wall.run("rake-right").pixels
    path, where = along(wall, "rake-right", "rake-left")
    assert where.length_m == pytest.approx(2 * RAKE)
    assert path[right][[0, -1]] == pytest.approx([PITCH / 2, RAKE - PITCH / 2], rel=1e-5)
    assert path[left][0] == pytest.approx(RAKE + PITCH / 2, rel=1e-5)
    assert np.isnan(path[wall.run("eave").pixels]).all()


def test_backward_joins_a_zone_the_other_way_round(wall):
    right = wall.run("rake-right").pixels
    path, _ = along(wall, "rake-left", "rake-right backward")
    assert path[right][[0, -1]] == pytest.approx([2 * RAKE - PITCH / 2, RAKE + PITCH / 2], rel=1e-5)


@pytest.mark.parametrize(
    ("direction", "start", "top", "end", "length"),
    [
        ("forward", 0, RAKE, 2 * RAKE, 2 * RAKE),
        ("backward", 2 * RAKE, RAKE, 0, 2 * RAKE),
        ("inward", 0, RAKE, 0, RAKE),  # meets at the gable's top
        ("outward", RAKE, 0, RAKE, RAKE),
    ],
)
def test_directions(wall, direction, start, top, end, length):
    path, where = along(wall, "gable", direction=direction)
    left, right = path[wall.run("rake-left").pixels], path[wall.run("rake-right").pixels]
    assert [left[0], left[-1], right[0], right[-1]] == pytest.approx(
        [start, top, top, end], abs=PITCH
    )
    assert where.length_m == pytest.approx(length)


def test_a_pixel_named_twice_keeps_its_first_place(wall):
    once, _ = along(wall, "rake-left", "rake-right")
    twice, where = along(wall, "rake-left", "gable")
    left, right = wall.run("rake-left").pixels, wall.run("rake-right").pixels
    assert twice[left] == pytest.approx(once[left])
    # The second naming of the left rake leaves its length on the path.
    assert twice[right] == pytest.approx(once[right] + RAKE, rel=1e-5)
    assert where.length_m == pytest.approx(3 * RAKE)


def test_identity_is_of_the_spot(wall, split):
    _, one = place(wall, ("all",))
    _, two = place(split, ("all",))
    assert len(set(one.identity.tolist())) == 540
    assert set(one.identity.tolist()) == set(two.identity.tolist())


def test_box_is_of_the_lit_pixels(wall):
    _, where = place(wall, ("eave",))
    left, bottom, right, top = where.box_m
    assert (left, right) == pytest.approx((1, 10), abs=0.02)
    assert (bottom, top) == pytest.approx((3, 5), abs=0.02)
    # atan2(3, 4): 0.8 across and 0.6 up
    lean = where.towards(np.rad2deg(np.arctan2(3, 4)))
    assert lean == pytest.approx(where.xy_m @ [0.8, 0.6], rel=1e-5)


def test_an_unknown_zone(wall):
    with pytest.raises(EvenfallError, match="no zone 'eve' in the house 'Test wall'"):
        place(wall, ("eve",))
