"""A fuse larger than its supply is taken only where no wiring as cheap has smaller ones."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from layouts.records import House
from sim.parts.records import Parts
from sim.plan import plan as planning
from sim.plan.loadcase import full_codes
from sim.plan.plan import Plan, plan_house


@pytest.fixture
def planned(unfed: Callable[..., House], parts: Parts) -> Callable[[float, float], Plan]:
    """planned(amps, length_m) → an eave fed by supplies of one size."""

    def made(amps: float, length_m: float) -> Plan:
        eave = {"name": "eave", "pixels": "ws2812b-v5", "path": [[0, 3], [length_m, 3]]}
        house = unfed([eave], [("shed", 2.0, 1.0)])
        sold = tuple(replace(s, amps=amps) for s in parts.supplies if s.volts == 5)[:1]
        return plan_house(house, full_codes(house, 1.0), replace(parts, supplies=sold))

    return made


def test_fuses_fit_supplies_where_that_costs_next_to_nothing(
    planned: Callable[[float, float], Plan], monkeypatch: pytest.MonkeyPatch
) -> None:
    # 5.5 A from two of 4 A: shared evenly each feed carries less than 3 A, 75 % of a fuse of 4 A.
    plan = planned(4.0, 2.5)
    assert [wire.fuse_a for wire in plan.house.wires] == [4.0, 4.0]
    assert [supply.rated_a for supply in plan.house.supplies] == [4.0, 4.0]
    monkeypatch.setattr(planning, "with_small_fuses", lambda made, market, propose: made)
    cheapest = planned(4.0, 2.5)
    assert max(wire.fuse_a or 0 for wire in cheapest.house.wires) > 4
    assert cheapest.price <= plan.price <= 1.01 * cheapest.price
    assert plan.lower_bound <= cheapest.lower_bound + 1e-9


def test_where_none_is_as_cheap_the_fuse_that_carries_the_load_stays(
    planned: Callable[[float, float], Plan],
) -> None:
    # 7.7 A from two of 5 A: at least one feed carries 3.85 A, more than 75 % of 5 A.
    plan = planned(5.0, 3.5)
    assert len(plan.house.supplies) == 2
    assert max(wire.fuse_a or 0 for wire in plan.house.wires) == 7.5
