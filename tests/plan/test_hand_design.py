"""The wiring that the demonstration houses were given by hand, against what the planner proposes.

Both are priced from the same invented parts, for the load up to which the hand wiring keeps its
volts, wires and fuses. The places of the planner are where the hand's supplies must hang for the
lengths of their wires to be right. The hand wirings were made before shorts were looked at: those
that a far short would not open a fuse of break a limit that the plan keeps.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import minimize

from layouts import change, load_house
from layouts.records import House, WireEnd
from sim.circuit import build, far_shorts, loads, utilisation
from sim.parts.records import Parts
from sim.plan.loadcase import full_codes
from sim.plan.plan import Plan, Wanted, plan_house
from sim.plan.records import Market
from sim.report.check import check_report

DEMO = Path(__file__).parents[2] / "demo"


@dataclass(frozen=True)
class Compared:
    hand: House
    code: int
    plan: Plan


@pytest.fixture(scope="module", params=["cottage", "bungalow", "townhouse"])
def compared(request: pytest.FixtureRequest, parts: Parts) -> Compared:
    hand = load_house(DEMO / request.param / "house.yaml")
    code = most_code(hand)
    bare = change(hand, supplies=[], wires=[], places=places_of(hand))
    plan = plan_house(bare, full_codes(bare, code / 255), parts, Wanted(anew=True))
    return Compared(hand, code, plan)


def most_code(house: House) -> int:
    """The highest code of every channel at which the house keeps its limits."""
    network, low, high = build(house), 1, 255
    while low < high:
        middle = (low + high + 1) // 2
        used = utilisation(network, loads(network, full_codes(house, middle / 255)))
        low, high = (middle, high) if used.max() <= 1 else (low, middle - 1)
    return low


def places_of(house: House) -> list[dict]:
    """Where each supply hangs, so that straight ways and slack fit its wires as well as can be."""
    made = []
    for supply in house.supplies:
        ends = _reached(house, supply.name, 0.0)
        spots = np.array([_spot(house, end) for end, _ in ends])
        far = np.array([length for _, length in ends])

        def off(at: np.ndarray, spots: np.ndarray = spots, far: np.ndarray = far) -> float:
            return float(((np.hypot(*(spots - at).T) + 0.6 - far) ** 2).sum())

        tries = [minimize(off, spots.mean(axis=0) + np.array([0, up])) for up in (-1, 0, 1)]
        at = min(tries, key=lambda found: found.fun).x
        made.append(
            {
                "name": supply.name,
                "at": np.round(at, 2).tolist(),
                "mains": True,
                "sheltered": True,
            }
        )
    return made


def _reached(house: House, name: str, far_m: float) -> list[tuple[WireEnd, float]]:
    found = []
    for wire in house.wires:
        if wire.start.name == name and wire.start.kind != "run":
            whole = far_m + wire.length_m
            if wire.end.kind == "run":
                found.append((wire.end, whole))
            else:
                found += _reached(house, wire.end.name, whole)
    return found


def _spot(house: House, end: WireEnd) -> np.ndarray:
    run = house.run(end.name)
    return house.pixels.xy_m[run.first + min(max(end.pad - 1, 0), run.count - 1)]


def hand_price(compared: Compared, own_supplies: bool) -> float:
    """The hand wiring at the market's prices; with the supplies it has, or the least that would
    carry the load."""
    house, market = compared.hand, compared.plan.proposal.market
    per_m = {wire.name: wire.price_per_m for wire in market.wires}
    work = market.work
    fuse = market.fuses[0].price + work.trunk  # with its holder
    lever = (work.tap - work.feed) / 2
    total = 0.0
    for wire in house.wires:
        total += per_m[wire.size.name] * wire.length_m + (fuse if wire.fuse_a else 0)
        for end in (wire.start, wire.end):
            total += {"run": work.joint / 2, "junction": lever, "supply": 0.0}[end.kind]
    network = build(house)
    amps = loads(network, full_codes(house, compared.code / 255)).supply_a.max(axis=0)
    for supply, drawn in zip(house.supplies, amps, strict=True):
        least = supply.rated_a if own_supplies else drawn / market.rules.supply_load
        total += _cheapest(market, supply.name, supply.volts, least)
    return total


def _cheapest(market: Market, place: str, volts: float, amps: float) -> float:
    return min(
        choice.price
        for choice in market.supplies
        if choice.place == place
        and choice.volts == pytest.approx(volts, rel=0.1)
        and choice.rated_a >= amps
    )


def broken(compared: Compared) -> list[str]:
    """Wires of the hand wiring whose fuse a far short does not open."""
    shorts = far_shorts(build(compared.hand))
    return [
        f"{wire.label}: {short.amps:.1f} A through {wire.fuse_a:g} A"
        for wire, short in zip(compared.hand.wires, shorts, strict=True)
        if short is not None and not short.opens(wire.fuse_a)
    ]


def test_the_hand_wiring_is_not_cheaper(compared: Compared) -> None:
    assert compared.plan.price <= hand_price(compared, own_supplies=True)


def test_nor_with_smaller_supplies_unless_it_breaks_a_limit(compared: Compared) -> None:
    told = broken(compared)
    cheaper = hand_price(compared, own_supplies=False) < compared.plan.price
    assert not cheaper or told, f"{compared.hand.name}: planned for {compared.plan.price:.2f}"
    assert compared.code < 255


def test_the_plan_keeps_what_the_hand_wiring_keeps(compared: Compared) -> None:
    network = build(compared.plan.house)
    codes = full_codes(compared.plan.house, compared.code / 255)
    assert utilisation(network, loads(network, codes)).max() <= 1 + 1e-9
    found = check_report(compared.plan.house, []).all
    assert {finding.level for finding in found} <= {"note"}
    assert not broken(Compared(compared.plan.house, compared.code, compared.plan))


@pytest.mark.outside
def test_ngspice_finds_the_same(
    compared: Compared, again: Callable[[House, np.ndarray], None]
) -> None:
    again(compared.plan.house, compared.plan.codes[0])
