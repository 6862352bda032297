"""Where nothing can be wired the reason given is true: what it says would free it does."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from layouts.errors import EvenfallError
from layouts.records import House
from sim.parts.records import Parts
from sim.plan.loadcase import full_codes
from sim.plan.plan import Wanted, plan_house
from sim.plan.proposal import Infeasible
from sim.plan.records import Rules

EAVE = {"name": "eave", "pixels": "ws2812b-v5", "path": [[0, 3], [3, 3]]}


def planned(house: House, parts: Parts, wanted: Wanted | None = None) -> None:
    plan_house(house, full_codes(house, 1.0), parts, wanted)


def test_a_drop_that_no_wire_keeps(unfed: Callable[..., House], parts: Parts) -> None:
    # 5 mV of 5 V: the smallest fuse alone loses 3 mV with one pixel on it.
    house = unfed([EAVE], [("shed", 7.0, 1.0)])
    tight = Wanted(rules=Rules(most_drop=0.001))
    with pytest.raises(Infeasible, match=r"eave cannot keep a drop of 0.1 %.*--drop"):
        planned(house, parts, tight)
    planned(house, parts)


def test_no_supply_of_that_voltage(unfed: Callable[..., House], parts: Parts) -> None:
    house = unfed([EAVE], [("shed", 5.0, 1.0)])
    other = replace(parts, supplies=tuple(s for s in parts.supplies if s.volts == 12))
    with pytest.raises(EvenfallError, match=r"no supply of 5 V"):
        planned(house, other)


def test_every_place_without_mains(unfed: Callable[..., House], parts: Parts) -> None:
    with pytest.raises(EvenfallError, match=r"none of the house's places has mains"):
        planned(unfed([EAVE], [("gutter", 1.0, 2.8, False)]), parts)
    planned(unfed([EAVE], [("gutter", 1.0, 2.8, True)]), parts)


@pytest.mark.parametrize("height_m", [0.7, 1.0, 1.3])
def test_supplies_too_small_for_a_run_without_cuts(
    unfed: Callable[..., House], parts: Parts, height_m: float
) -> None:
    """Runs are cut where one supply does not carry them, wherever that hangs."""
    house = unfed([EAVE], [("shed", 2.0, height_m)])
    small = replace(
        parts, supplies=tuple(replace(s, amps=4.0) for s in parts.supplies if s.volts == 5)[:1]
    )
    plan = plan_house(house, full_codes(house, 1.0), small)
    assert len(plan.proposal.units) >= 3  # 6.6 A, 3.2 A each
    assert plan.house.runs[0].cuts
