"""A house half wired: what nothing feeds is fed, piece by piece, and what is wired stays."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from layouts.errors import EvenfallError
from layouts.power_paths import dead_wires, unfed_pieces
from layouts.records import House
from sim.circuit import build
from sim.circuit.law import law
from sim.circuit.unreached import unreached_findings
from sim.parts.records import Parts
from sim.plan.lines import demand_of, lines_of
from sim.plan.loadcase import full_codes
from sim.plan.plan import plan_house
from sim.plan.routing import cable_net

#: 120 pixels in three pieces of 40, of which the last alone has a wire.
EAVE = {
    "name": "eave", "pixels": "ws2812b-v5", "path": [[0, 3], [2, 3]], "count": 120, "cuts": [40, 80]
}  # fmt: skip
WIRED: dict[str, Any] = {
    "supplies": [{"name": "old", "volts": 5, "amps": 20, "source_ohm": 0.004, "at": "hall"}],
    "wires": [
        {"from": "old", "to": "eave[100]", "wire": "14 AWG", "length": "3.2 m", "fuse": 4},
    ],
}


def half(unfed: Callable[..., House], **more: Any) -> House:
    return unfed([EAVE], [("hall", 1.0, 1.5)], **{**WIRED, **more})


def test_pieces_that_nothing_feeds(unfed: Callable[..., House]) -> None:
    house = half(unfed)
    assert [(p.run.name, p.first, p.end) for p in unfed_pieces(house)] == [
        ("eave", 0, 40),
        ("eave", 40, 80),
    ]
    assert not any(piece.whole for piece in unfed_pieces(house))
    (whole,) = unfed_pieces(unfed([{**EAVE, "cuts": []}]))
    assert whole.whole


def test_a_piece_without_a_pixel_asks_for_no_feed(
    unfed: Callable[..., House], parts: Parts
) -> None:
    """Whose pixels are all cut out; of a piece of which some are left, these alone are dark."""
    wires = [*WIRED["wires"], {**WIRED["wires"][0], "to": "eave[20]"}]
    gone = {**EAVE, "missing": list(range(40, 80))}
    house = unfed([gone], [("hall", 1.0, 1.5)], **{**WIRED, "wires": wires})
    assert unfed_pieces(house) == ()
    assert unreached_findings(build(house)) == ()
    with pytest.raises(EvenfallError, match="every run is fed already"):
        plan_house(house, full_codes(house, 1.0), parts)
    left = {**EAVE, "missing": [40, *range(50, 60), 79]}
    house = unfed([left], [("hall", 1.0, 1.5)], **{**WIRED, "wires": wires})
    assert [(p.first, p.end) for p in unfed_pieces(house)] == [(40, 80)]
    (found,) = unreached_findings(build(house))
    # 40 positions less 12 that are cut out; the first and the last of them are 41 and 78.
    assert (found.value, found.detail["pieces"]) == (28.0, ((41, 78),))
    assert [each.target for each in found.remedies] == ["eave[41]"]


def test_no_pixel_of_a_half_wired_run_stays_dark(unfed: Callable[..., House], parts: Parts) -> None:
    house = half(unfed)
    assert unreached_findings(build(house))
    plan = plan_house(house, full_codes(house, 1.0), parts)
    assert unreached_findings(build(plan.house)) == ()
    assert unfed_pieces(plan.house) == ()
    assert plan.house.wires[:1] == house.wires
    # One feed to each of the two pieces at least, none to the third; the cuts stay as they were.
    pads = sorted(wire.end.pad - 1 for wire in plan.house.wires[1:])
    assert min(pads) < 40 <= max(pads) < 80
    assert set(plan.house.runs[0].cuts) >= {40, 80}


def test_a_piece_is_the_same_line_from_either_side(unfed: Callable[..., House]) -> None:
    """The line of a piece is that of its pixels: no end pad, copper between its pixels alone."""
    house = half(unfed)
    demand = demand_of(law(house), full_codes(house, 1.0), house.pixels.spare)
    net = cable_net(house, {"hall": house.places[0].xy_m})
    first, second = lines_of(
        house, list(unfed_pieces(house)), demand, net, np.zeros(1, int), 0.3, 20.0
    )
    # 40 pixels and the pad of the run's start; the piece between two cuts has neither.
    assert (first.size, second.size) == (41, 40)
    assert first.pixel.sum() == second.pixel.sum() == 40
    assert (first.name, second.name) == ("eave[0:40]", "eave[40:80]")
    np.testing.assert_array_equal(np.sort(second.node), np.arange(40, 80))
    assert second.rail_ohm[0] == 0
    # 39 steps of copper, from the first pixel to the last, in either.
    np.testing.assert_allclose(second.rail_ohm[-1], np.ptp(first.rail_ohm[first.pixel]))
    assert not second.cut[0]
    assert second.cut[1:].all()


def test_wires_that_hang_on_nothing_are_told(unfed: Callable[..., House], parts: Parts) -> None:
    wires = [*WIRED["wires"], {"from": "eave[10]", "to": "eave[60]", "wire": "18 AWG", "length": 1}]
    house = half(unfed, wires=wires)
    assert [wire.label for wire in dead_wires(house)] == ["eave[10] → eave[60]"]
    with pytest.raises(EvenfallError, match=r"eave\[10\] → eave\[60\]: wired to no supply; lead"):
        plan_house(house, full_codes(house, 1.0), parts)
