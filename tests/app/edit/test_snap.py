"""What a pointer near something is taken to mean."""

from __future__ import annotations

import math
import time

import numpy as np
import pytest

from sim.app.edit import commands as c
from sim.app.edit.draft import Draft, house_of
from sim.app.edit.photo_edges import PhotoEdge
from sim.app.edit.sights import Sights, sights_of
from sim.app.edit.snap import FAMILIES, Guide, Snapped, photo_guide, snapped

REACH = 0.1


@pytest.fixture
def sights(metric: Draft) -> Sights:
    """Walls 1..9 m wide and 3 m high; a roof from (0.5, 3) over (5, 5.25) to (9.5, 3): 6/12."""
    return sights_of(house_of(metric))


def at(sights: Sights, x: float, y: float, *families: str, **more: object) -> Snapped:
    chosen = families or FAMILIES
    return snapped(sights, (x, y), REACH, families=chosen, **more)  # type: ignore[arg-type]


def test_ends_of_runs_come_with_their_names(sights: Sights) -> None:
    found = at(sights, 1.05, 2.93)
    assert (found.to_m, found.kind, found.text) == ((1.0, 2.9), "ends", "start of eave")


def test_corners_and_middles(sights: Sights) -> None:
    found = at(sights, 6.97, 2.04)
    assert (found.to_m, found.kind, found.text) == ((7.0, 2.1), "corners", "corner of door")
    found = at(sights, 6.52, 2.15)
    assert (found.to_m, found.kind) == ((6.5, 2.1), "middles")
    assert found.text == "middle of edge of door"


def test_the_nearest_of_several_points_is_meant(sights: Sights) -> None:
    # the eave starts at (1, 2.9), the wall has a corner at (1, 3)
    assert at(sights, 1.0, 2.94).kind == "ends"
    assert at(sights, 1.0, 2.96).text == "corner of wall"


def test_level_and_plumb_with_far_corners_meet(sights: Sights) -> None:
    found = at(sights, 7.04, 5.21, "levels")
    assert found.to_m == (7.0, 5.25)
    assert set(found.text.split(", ")) == {"level with bend of rake", "plumb with corner of door"}
    assert len(found.guides) == 2
    found = at(sights, 11.0, 2.12, "levels")
    assert (found.to_m, found.text) == ((11.0, 2.1), "level with corner of door")
    assert found.guides == (((7.0, 2.1), (11.0, 2.1)),)


def test_right_angles_and_straight_on(sights: Sights) -> None:
    before, last = (10.0, 1.0), (12.0, 2.0)
    found = at(sights, 14.03, 3.0, "angles", last_m=last, before_m=before)
    assert found.text == "straight on"
    assert math.dist(found.to_m, (14.024, 3.012)) < 1e-9  # the foot on y = x/2 − 4
    found = at(sights, 11.0, 4.04, "angles", last_m=last, before_m=before)
    assert found.text == "right angle"
    way = np.subtract(found.to_m, last)
    assert np.dot(way, np.subtract(last, before)) == pytest.approx(0, abs=1e-12)
    assert at(sights, 12.05, 9.0, "angles", last_m=last).to_m == (12.0, 9.0)


def test_the_slope_of_the_roof_and_common_slopes(sights: Sights) -> None:
    assert sights.slopes_deg == pytest.approx([26.565, 153.435], abs=5e-4)  # 6/12 both ways
    found = at(sights, 14.0, 2.05, "pitches", last_m=(10.0, 0.0))
    assert found.text == "6/12 as drawn"
    dx, dy = np.subtract(found.to_m, (10.0, 0.0))
    assert dy / dx == pytest.approx(0.5, abs=1e-12)
    found = at(sights, 13.0, 2.02, "pitches", last_m=(10.0, 0.0))
    assert found.text == "8/12"
    assert at(sights, 10.1, 0.05, "pitches", last_m=(10.0, 0.0)).kind == ""  # too near to say


def test_a_slope_and_a_level_meet(sights: Sights) -> None:
    found = at(sights, 14.48, 2.12, "levels", "pitches", last_m=(10.3, 0.0))
    assert found.to_m == pytest.approx((14.5, 2.1), abs=1e-9)
    assert set(found.text.split(", ")) == {"6/12 as drawn", "level with corner of door"}


def test_the_edge_of_another_line(sights: Sights) -> None:
    found = at(sights, 9.04, 1.3, "edges")
    assert (found.to_m, found.text) == ((9.0, 1.3), "on edge of wall")
    assert at(sights, 9.04, -0.5, "edges").kind == ""  # beyond its end


def test_an_edge_of_the_photograph_is_a_line_like_others(sights: Sights) -> None:
    # 100 pixels a metre, y down from 7 m: an edge at x = 1100, dark to the left of it
    found_px = PhotoEdge((1100.0, 500.0), (1.0, 0.0), 0.3)
    edge = photo_guide(found_px, lambda px: (px[0] / 100, 7 - px[1] / 100))
    assert edge == Guide((11.0, 2.0), (0.0, -1.0), "photo", "edge in the photograph")
    found = at(sights, 11.05, 1.97, photo=edge)
    assert "edge in the photograph" in found.text
    assert found.to_m == pytest.approx((11.0, 2.0))  # level with the window: its top is at 2 m
    assert at(sights, 11.05, 4.5, "levels", photo=edge).kind == ""


def test_every_family_can_be_switched_off(sights: Sights) -> None:
    places = {
        "ends": (1.02, 2.9), "corners": (7.02, 2.1), "middles": (6.5, 2.12), "levels": (7, 6.5),
        "edges": (9.04, 1.3),
    }  # fmt: skip
    for family, (x, y) in places.items():
        assert at(sights, x, y, family).kind == family
        others = [each for each in FAMILIES if each != family]
        assert at(sights, x, y, *others).kind != family
    assert at(sights, 7.02, 2.1, "photo") == Snapped((7.02, 2.1))


def test_what_is_moved_does_not_hold_itself(metric: Draft) -> None:
    item = c.Item("run", "eave")
    sights = sights_of(house_of(metric), [item])
    assert "start of eave" not in sights.end_names
    assert at(sights, 1.02, 2.98, "corners").text == "corner of wall"


def test_nothing_near_leaves_the_pointer_alone(sights: Sights) -> None:
    assert at(sights, 20.0, 20.0) == Snapped((20.0, 20.0))


def test_a_thousand_corners_take_less_than_a_millisecond() -> None:
    random = np.random.default_rng(1)
    corners = random.uniform(0, 20, (1000, 2))
    sides = np.stack([corners, np.roll(corners, -1, axis=0)], axis=1)
    names = tuple(f"corner of {n}" for n in range(1000))
    sights = Sights(
        corners[:50], names[:50], corners, names, sides.mean(axis=1), sides, names, np.zeros(0)
    )

    def once() -> float:
        begin = time.process_time()
        snapped(sights, (30.0, 10.0), 0.01, last_m=(1, 1), before_m=(0, 0))
        return time.process_time() - begin

    once()
    assert min(once() for _ in range(30)) < 1e-3
