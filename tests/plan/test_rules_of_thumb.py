"""What the trade says about feeds comes out of the circuit, or the test says why it does not.

The rules are common practice, no source: 5 V strip of 60 a metre at full white wants a feed every
2-3 m; 12 V strip of single pixels wants more than one beyond 5 m; 12 V strip in groups of three one
every 5-10 m; thinner power traces, which a data backup line leaves less room for, want more.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from layouts.catalogue import kinds
from layouts.power_paths import unfed_pieces
from layouts.records import House, Kind
from sim.circuit.law import law
from sim.parts.records import Parts
from sim.plan.lines import demand_of, lines_of
from sim.plan.loadcase import full_codes
from sim.plan.plan import plan_house
from sim.plan.proposal import propose
from sim.plan.records import FuseChoice, Market, Rules, SupplyChoice, WireChoice, WorkPrices
from sim.plan.routing import cable_net


@pytest.fixture(scope="module")
def straight(unfed: Callable[..., House]) -> Callable[[Kind, float, int], House]:
    """straight(kind, length_m, per_metre) → one run, its box above the middle."""

    def made(kind: Kind, length_m: float, per_metre: int) -> House:
        path = [[0, 3], [length_m, 3]]
        run = {"name": "a", "pixels": kind, "path": path, "count": round(length_m * per_metre)}
        return unfed([run], [("box", length_m / 2, 2.7)])

    return made


def feeds_of_strip(house: House) -> int:
    """How many feeds the strip itself needs at full white: wires and fuses lose nothing."""
    demand = demand_of(law(house), full_codes(house, 1.0), house.pixels.spare)
    net = cable_net(house, {"box": house.places[0].xy_m})
    bare = list(unfed_pieces(house))
    (line,) = lines_of(house, bare, demand, net, np.zeros(1, int), 0.3, house.temperature_c)
    market = Market(
        (SupplyChoice("s", "box", line.volts, 1000.0, 0.0, 0.0),),
        (WireChoice("w", 1e-6, 1000.0, 1000.0, 0.0),),
        (FuseChoice(1000.0, 0.0, 0.0),),
        WorkPrices(feed=1.0, cut=0.0, joint=100.0, tap=100.0, trunk=100.0),
        Rules(shorts=False),
    )
    return len(propose([line], market).fed[0].plan.feeds)


def feeds_planned(house: House, parts: Parts) -> int:
    return len(plan_house(house, full_codes(house, 1.0), parts).proposal.fed[0].plan.feeds)


def test_5_v_strip_of_60_a_metre(straight: Callable[..., House], parts: Parts) -> None:
    house = straight(kinds()["ws2812b-v5"], 12.0, 60)
    # 36.6 mA × 60/m through 2 × 0.15 Ω/m, 0.5 V: a feed serves 2·√(2·0.5/(2.196·0.3)) = 2.46 m.
    assert feeds_of_strip(house) == 5
    assert 2 <= 12.0 / 5 <= 3
    # Real wires and fuses take some of the half volt before the strip gets any, and the far end
    # of each stretch must still blow its fuse: closer together than the rule says.
    planned = feeds_planned(house, parts)
    assert planned > 5
    assert 1.3 <= 12.0 / planned <= 2


def test_12_v_strip_of_single_pixels(straight: Callable[..., House], parts: Parts) -> None:
    kind = kinds()["ws2815"]
    assert feeds_planned(straight(kind, 5.0, 60), parts) == 1
    assert feeds_planned(straight(kind, 10.0, 60), parts) >= 2


@pytest.mark.parametrize("length_m", [10.0, 20.0])
def test_12_v_strip_in_groups_of_three(
    straight: Callable[..., House], parts: Parts, length_m: float
) -> None:
    # The catalogue has the string; a strip of 60 a metre has 20 groups and thinner conductors.
    kind = replace(kinds()["ws2811-12v-group3"], mount="strip", rail_ohm_per_m=0.05)
    planned = feeds_planned(straight(kind, length_m, 20), parts)
    assert 5 <= length_m / planned <= 10


def test_thinner_power_traces_want_more_feeds(straight: Callable[..., House], parts: Parts) -> None:
    kind = kinds()["ws2815"]
    wide = replace(kind, backup_data=False)
    narrow = replace(kind, backup_data=True, rail_ohm_per_m=2 * wide.rail_ohm_per_m)
    usual, thin = (straight(each, 12.0, 60) for each in (wide, narrow))
    assert feeds_of_strip(thin) > feeds_of_strip(usual)
    assert feeds_planned(thin, parts) > feeds_planned(usual, parts)
