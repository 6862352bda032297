"""A box that stands on a route: its cable keeps to it, and what hangs free is told.

A box at (0, 1), a trench down to the ground, 4 m along it and up; a run from (4, 2) to (8, 2). All
ways are measured off by hand.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from layouts.records import House
from sim.parts.records import Parts
from sim.plan.laid import free_remarks
from sim.plan.loadcase import full_codes
from sim.plan.plan import plan_house
from sim.plan.routing import CableNet, cable_net

UP_TO_IT = [[0, 1], [0, 0], [4, 0], [4, 1.8]]  # 1 + 4 + 1.8 m, and 0.2 m below the run
IN_GROUND = [[0, 1], [0, 0], [4, 0]]  # 1 + 4 m, and 2 m below it
OPEN, SHUT = "eave-track", "channel-frosted"


def fence(unfed: Callable[..., House], route: list, profile: str, kind: str = "ws2815") -> House:
    run = {
        "name": "fence", "pixels": kind, "path": [[4, 2], [8, 2]], "profile": profile,
        "standoff": 0.000_001,
    }  # fmt: skip
    return unfed([run], [("shed", 0, 1)], routes=[{"name": "trench", "path": route}])


def net_of(house: House, at: tuple[float, float] = (0, 1)) -> CableNet:
    return cable_net(house, {"shed": at})


def far(net: CableNet, along_m: float) -> float:
    """[m] of cable to a place of the run; the line it lies on is as long."""
    (reach,) = net.reach_m(0, 0, np.array([along_m]))
    way = net.way(0, 0, along_m)
    assert np.hypot(*np.diff(way, axis=0).T).sum() == pytest.approx(reach, abs=1e-4)
    return float(reach)


def test_from_the_route_and_along_the_run(unfed: Callable[..., House]) -> None:
    net = net_of(fence(unfed, UP_TO_IT, OPEN))
    # Straight through the air it would be 5.1 m.
    assert far(net, 1.0) == pytest.approx(1 + 4 + 1.8 + 0.2 + 1, abs=1e-4)
    assert net.free_m(0, 0, 1.0) == pytest.approx(0.2, abs=1e-4)


def test_from_the_route_to_a_channel_without_room(unfed: Callable[..., House]) -> None:
    net = net_of(fence(unfed, UP_TO_IT, SHUT))
    for along_m in (1.0, 4.0):  # near the end of the route, and far from it
        gap = np.hypot(along_m, 0.2)
        assert far(net, along_m) == pytest.approx(6.8 + gap, abs=1e-4)
        assert net.free_m(0, 0, along_m) == pytest.approx(gap, abs=1e-4)


@pytest.mark.parametrize("profile", [OPEN, SHUT])
def test_a_route_that_ends_far_from_what_is_fed(unfed: Callable[..., House], profile: str) -> None:
    net = net_of(fence(unfed, IN_GROUND, profile))
    # Along the whole of the route, then 2 m up: to the run's start and along it, or straight.
    beyond = 2 + 1 if profile == OPEN else np.hypot(1, 2)
    assert far(net, 1.0) == pytest.approx(1 + 4 + beyond, abs=1e-4)
    assert net.free_m(0, 0, 1.0) == pytest.approx(2 if profile == OPEN else beyond, abs=1e-4)


def test_a_box_beside_no_route_takes_the_straight_way(unfed: Callable[..., House]) -> None:
    # 0.6 m above the route's start
    net = net_of(fence(unfed, UP_TO_IT, SHUT), (0, 1.6))
    assert far(net, 1.0) == pytest.approx(np.hypot(5, 0.4), abs=1e-4)
    assert net.free_m(0, 0, 1.0) == pytest.approx(np.hypot(5, 0.4), abs=1e-4)


def test_no_cable_leads_through_another_box(unfed: Callable[..., House]) -> None:
    # Across a box that hangs between the two it would be 5.1 m again.
    net = cable_net(fence(unfed, UP_TO_IT, OPEN), {"shed": (0, 1), "other": (2, 1.4)})
    assert far(net, 1.0) == pytest.approx(8, abs=1e-4)


def test_wire_that_hangs_free_is_told(unfed: Callable[..., House], parts: Parts) -> None:
    run = {"name": "fence", "pixels": "ws2815", "path": [[14, 2], [15, 2]], "profile": OPEN}
    house = unfed([run], [("shed", 2, 2)])
    plan = plan_house(house, full_codes(house, 1.0), parts)
    # 12 m to the run's start, and the rest along it.
    (told,) = free_remarks(plan.before, plan.proposal, plan.net)
    assert told.startswith("12 m of shed → fence")
    assert told in plan.said
    near = unfed([run], [("shed", 11, 2)])  # 3 m: a wire is led that far along a wall
    assert plan_house(near, full_codes(near, 1.0), parts).said == ()
