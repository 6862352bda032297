"""Where boxes hang: as stated, else beside what they feed, and marked as supposed."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from layouts import House, house_from
from sim.plan.boxes import hung


def house(supply: dict[str, Any] | None = None, **more: Any) -> House:
    data: dict[str, Any] = {
        "format": "evenfall-house/1",
        "name": "Barn",
        "units": "m",
        "drawing": {
            "size": [8, 4],
            "viewer": 8,
            "surfaces": [
                {"name": "wall", "material": "lap-siding-white", "depth": 0,
                 "outline": [[1, 0], [7, 0], [7, 3], [1, 3]]},
            ],
        },
        "runs": [
            {"name": "eave", "pixels": "ws2812b", "path": [[2, 2.9], [6, 2.9]], "count": 40,
             "aim": 30, "standoff": 0.03, "profile": "eave-track"},
        ],
        "supplies": [{"name": "box", "volts": 5, "amps": 10, "efficiency": 0.85, "no_load_w": 0.3,
                      "source_ohm": 0.01, **(supply or {})}],
        "wires": [
            {"from": "box", "to": "joint", "wire": "18 AWG", "length": "1 m", "fuse": 3},
            {"from": "joint", "to": "eave[20]", "wire": "18 AWG", "length": "1 m"},
            {"from": "box", "to": "eave.start", "wire": "18 AWG", "length": "1 m", "fuse": 3},
        ],
        "outputs": [{"name": "A", "chain": ["eave"]}],
        **more,
    }  # fmt: skip
    return house_from(data)


def test_a_stated_place_holds() -> None:
    found = hung(house({"at": [1.5, 0.5]}))
    (box,) = (one for one in found.boxes if one.form == "supply")
    assert (box.xy_m, box.stated, found.supposed) == ((1.5, 0.5), True, frozenset())


def test_an_unstated_supply_is_supposed_below_the_first_pad_it_feeds() -> None:
    made = house()
    found = hung(made)
    (box,) = (one for one in found.boxes if one.form == "supply")
    # by hand: the first wire leads over the joint to pixel 20 of the level eave; straight below it
    assert box.xy_m[0] == pytest.approx(float(made.pixels.xy_m[20, 0]))
    assert 0.3 < 2.9 - box.xy_m[1] < 1.0
    assert found.supposed == {"box"}
    assert found.ways is not None
    np.testing.assert_allclose(found.ways.ways[0][0], box.xy_m)
    assert all(len(way) >= 1 for way in found.ways.ways)


def test_boxes_keep_apart_and_inside() -> None:
    more = [{"name": f"box{n}", "volts": 5, "amps": 10, "efficiency": 0.85, "no_load_w": 0.3,
             "source_ohm": 0.01} for n in range(6)]  # fmt: skip
    wires = [{"from": one["name"], "to": "eave.start", "wire": "18 AWG", "length": "1 m", "fuse": 3}
             for one in more]  # fmt: skip
    found = hung(house(supplies=more, wires=wires))
    spots = np.array([box.xy_m for box in found.boxes if box.form == "supply"])
    gaps = np.hypot(*(spots[:, None] - spots[None]).transpose(2, 0, 1)) + 9 * np.eye(6)
    assert gaps.min() >= 0.7 - 1e-9
    assert (spots > 0).all()
    assert (spots < (8, 4)).all()


def test_a_junction_that_only_a_junction_hangs_on_sits_with_it() -> None:
    chained = [
        {"from": "box", "to": "far", "wire": "18 AWG", "length": "1 m", "fuse": 3},
        {"from": "far", "to": "near", "wire": "18 AWG", "length": "1 m"},
        {"from": "near", "to": "eave.end", "wire": "18 AWG", "length": "1 m"},
    ]
    ways = hung(house(wires=chained)).ways
    assert ways is not None
    assert ways.junctions["far"] == ways.junctions["near"] == pytest.approx((6, 2.9))
