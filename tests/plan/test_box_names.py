"""Proposed boxes: numbered as the supplies in them, and told where they are."""

from __future__ import annotations

import pytest

from layouts import house_from
from sim.parts.load import builtin_parts
from sim.plan.loadcase import full_codes
from sim.plan.plan import Plan, plan_house
from sim.report.plan_report import plan_report
from sim.report.plan_text import plan_blocks


@pytest.fixture(scope="module")
def plan() -> Plan:
    """A short run on the left and a long one on the right: one supply carries both."""
    house = house_from({
        "format": "evenfall-house/1", "name": "Shed",
        "drawing": {"size": [9, 3], "viewer": 8, "surfaces": []},
        "runs": [
            {"name": "door", "pixels": "ws2812b", "path": [[0.5, 2], [0.7, 2]], "count": 5},
            {"name": "eave", "pixels": "ws2812b", "path": [[4, 2.5], [8, 2.5]], "count": 200},
        ],
        "outputs": [{"name": "A", "chain": ["door", "eave"]}],
    })  # fmt: skip
    return plan_house(house, full_codes(house, 0.5), builtin_parts())


def test_the_first_numbers_are_those_of_the_boxes_that_are_used(plan: Plan) -> None:
    assert len(plan.boxes) == 2
    (supply,) = plan.house.supplies
    # By hand: 0.3 m or more below the middle of the eave, at x = 6 m.
    (box,) = [box for box in plan.boxes if box.name == supply.at]
    assert box.at_m[0] == pytest.approx(6, abs=0.5)
    assert (supply.name, supply.at) == ("box-1", "box-1")
    assert [place["name"] for place in plan.sections["places"]] == ["box-1"]
    assert {wire.start.name for wire in plan.house.wires if wire.start.kind == "supply"} == {
        "box-1"
    }


def test_the_report_says_where_a_proposed_box_is(plan: Plan) -> None:
    (box,) = [box for box in plan.boxes if box.name == "box-1"]
    words = repr(list(plan_blocks(plan_report(plan, "full"))))
    assert f"{box.at_m[0]:.2f} m, {box.at_m[1]:.2f} m up" in words
