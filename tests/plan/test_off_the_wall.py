"""Runs stand off the wall: cable goes out to them and back, square to it. By hand throughout."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from layouts.power_paths import unfed_pieces
from layouts.records import House
from layouts.units import METRES
from sim.circuit.law import law
from sim.parts.records import Parts
from sim.plan.lines import demand_of, lines_of
from sim.plan.loadcase import full_codes
from sim.plan.plan import plan_house
from sim.plan.routing import cable_net

OPEN, SHUT = "eave-track", "channel-frosted"


def run(name: str, *path: list[float], off: float, profile: str = OPEN) -> dict[str, Any]:
    return {
        "name": name, "pixels": "ws2815", "path": list(path), "standoff": off, "profile": profile
    }  # fmt: skip


@pytest.mark.parametrize("profile", [OPEN, SHUT])
def test_from_a_box_out_to_a_run(unfed: Callable[..., House], profile: str) -> None:
    house = unfed([run("porch", [4, 3], [6, 3], off=1.4, profile=profile)], [("box", 4, 2)])
    net = cable_net(house, {"box": (4, 2)})
    # 1 m up and 1.4 m out; to the far end straight across the wall, and out
    far = net.reach_m(0, 0, np.array([0.0, 2.0]))
    np.testing.assert_allclose(far, [1 + 1.4, np.hypot(1, 2) + 1.4])


def test_from_one_run_on_to_another(unfed: Callable[..., House]) -> None:
    runs = [run("eave", [0, 3], [4, 3], off=0.5), run("porch", [4.5, 3], [6.5, 3], off=1.4)]
    house = unfed(runs, [("box", 0, 2)])
    net = cable_net(house, {"box": (0, 2)})
    (far,) = net.reach_m(0, 1, np.array([0.0]))
    # Straight it is √(4.5² + 1²) = 4.61 m and 1.4 m out; over the eave 1 + 0.5 + 4 + 0.5 + 0.9 m.
    assert far == pytest.approx(np.hypot(4.5, 1) + 1.4)
    (far,) = net.reach_m(0, 0, np.array([4.0]))
    assert far == pytest.approx(np.hypot(4, 1) + 0.5)


def test_along_a_route_and_out(unfed: Callable[..., House]) -> None:
    route = {"name": "soffit", "path": [[0, 2], [0, 2.9], [4, 2.9]]}
    for profile in (OPEN, SHUT):
        porch = run("porch", [4, 3], [6, 3], off=1.4, profile=profile)
        house = unfed([porch], [("box", 0, 2)], routes=[route])
        net = cable_net(house, {"box": (0, 2)})
        (far,) = net.reach_m(0, 0, np.array([0.0]))
        assert far == pytest.approx(0.9 + 4 + 0.1 + 1.4)


def test_ends_of_runs_are_joined_over_the_difference(unfed: Callable[..., House]) -> None:
    def joined(off: float) -> list[float]:
        runs = [run("a", [0, 3], [2, 3], off=0.2), run("b", [2.5, 3], [4, 3], off=off)]
        house = unfed(runs, [("box", 2, 2)])
        demand = demand_of(law(house), full_codes(house, 1.0), house.pixels.spare)
        net = cable_net(house, {"box": (2, 2)})
        bare = list(unfed_pieces(house))
        lines = lines_of(house, bare, demand, net, np.zeros(1, int), 0.3, 20.0)
        return [float(line.gap_m.max()) for line in lines]

    # 0.5 m beside each other, 0.3 m of slack at both ends, and 0.4 m farther out
    assert joined(0.6) == pytest.approx([0.5 + 0.4 + 0.6])
    assert joined(1.0) == [0.0, 0.0]  # 0.5 + 0.8 m are more than a short wire: two lines


def test_the_wire_to_a_porch_of_a_house_in_feet(unfed: Callable[..., House], parts: Parts) -> None:
    """A box 2.7 ft above a porch that stands 4.7 ft out: 7.4 ft, and slack at both ends."""
    foot = METRES["ft"]
    porch = run("porch", [4, 3], [4.3, 3], off=4.7 * foot, profile=SHUT)
    house = unfed([porch], [("loft", 4.15, 3 + 2.7 * foot)])
    plan = plan_house(house, full_codes(house, 1.0), parts)
    (wire,) = plan.house.wires
    least = 7.4 * foot + 2 * parts.slack_m
    # The pad is at most half the run beside the box.
    most = (np.hypot(2.7 * foot, 0.15)) + 4.7 * foot + 2 * parts.slack_m
    assert least - 1e-3 <= wire.length_m <= most + 2e-3
