"""From a parts file to what a planner may choose from, with prices for all of it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

from layouts import fuses, wire_sizes
from layouts.catalogue import limits
from layouts.copper import ohm_per_m
from layouts.errors import EvenfallError
from layouts.files.document import read
from layouts.records import House, WireSize
from sim.parts.records import Parts
from sim.parts.wiring import weatherproof

from .records import FuseChoice, Market, Rules, SupplyChoice, WireChoice, WorkPrices

#: A supply: part, volts, amperes, price, weatherproof, efficiency and idle watts where known.
_Rated = tuple[str, float, float, float, bool, float | None, float | None]


@dataclass(frozen=True)
class Box:
    """A spot where supplies can hang."""

    name: str
    at_m: tuple[float, float]
    sheltered: bool
    proposed: bool = False  # no place of the file: proposed near the runs


def market_of(
    house: House, parts: Parts, boxes: list[Box], rules: Rules, temperature_c: float
) -> tuple[Market, bool]:
    """The market for `house`, and whether all of it has real prices.

    `temperature_c` is that of the copper. Raises EvenfallError where the parts file has no supply
    for a kind of the house, or nothing else to choose from.
    """
    own = stand_in()
    priced = parts.work.hourly is not None
    hour = parts.work.hourly if parts.work.hourly is not None else own["hour"]

    def price(value: float | None, usual: float) -> float:
        nonlocal priced
        priced = priced and value is not None
        return usual if value is None else value

    plug = price(parts.feed_plug.price, own["plug"])
    holder = price(parts.fuse_holder.price, own["holder"])
    minutes = hour / 60
    at_run = plug + parts.work.feed_min * minutes
    work = WorkPrices(
        feed=holder + at_run,
        cut=parts.work.cut_min * minutes,
        joint=2 * at_run,
        tap=holder + at_run + 2 * price(parts.junction.price, own["junction"]),
        trunk=holder,
    )
    wires = [_wire(wire_sizes()[name], price(per_metre, 0), temperature_c, own)
             for name, per_metre in _wire_prices(parts, own)]  # fmt: skip
    fuse = price(parts.fuse.price, own["fuse"])
    table = fuses()
    ratings = [FuseChoice(float(a), table.cold_ohm(a), fuse) for a in own["fuses_a"]]
    box = min((price(e.price, own["box"]) for e in parts.enclosures), default=own["box"])
    offers: list[SupplyChoice] = []
    for volts in sorted({run.kind.supply_v for run in house.runs}):
        fitting = [s for s in parts.supplies if limits().suits(s.volts, volts)]
        if parts.supplies and not fitting:
            raise EvenfallError(
                f"the parts file has no supply of {volts:g} V, which the house needs; add one"
            )
        if not fitting:
            priced = False
            rated: list[_Rated] = [(f"{volts:g} V {watts:g} W", volts, watts / volts,
                      own["supply"]["each"] + own["supply"]["per_watt"] * watts, False, None, None)
                     for watts in own["supplies_w"]]  # fmt: skip
        else:
            usual = own["supply"]
            rated = [
                (s.part, s.volts, s.amps,
                 price(s.price, usual["each"] + usual["per_watt"] * s.volts * s.amps),
                 weatherproof(s), s.efficiency, s.no_load_w)
                for s in fitting
            ]  # fmt: skip
        offers += [
            SupplyChoice(
                part,
                spot.name,
                v,
                amps,
                0.0,
                cost + (0.0 if tight else box),
                efficiency=efficiency,
                no_load_w=idle_w,
            )
            for spot in boxes
            for part, v, amps, cost, tight, efficiency, idle_w in rated
        ]
    return Market(tuple(offers), tuple(wires), tuple(ratings), work, rules), priced


def with_existing(market: Market, house: House, room_a: dict[str, float]) -> Market:
    """The market with the house's own supplies, which cost nothing more and have `room_a` left."""
    load = market.rules.supply_load
    own = tuple(
        SupplyChoice(s.name, s.name, s.volts, room_a[s.name] / load, s.source_ohm, 0.0, 1, s.name)
        for s in house.supplies
        if room_a.get(s.name, 0.0) > 0
    )
    return replace(market, supplies=(*own, *market.supplies))


@cache
def stand_in() -> dict[str, Any]:
    """What stands in for prices; see `stand_in.yaml`."""
    data: dict[str, Any] = read(Path(__file__).parent / "stand_in.yaml").data
    return data


def _wire_prices(parts: Parts, own: dict[str, Any]) -> list[tuple[str, float | None]]:
    if parts.wires:
        return [(size, part.per_metre) for size, part in parts.wires.items()]
    return [(size, None) for size in own["wires"]]


def _wire(
    size: WireSize, per_metre: float, temperature_c: float, own: dict[str, Any]
) -> WireChoice:
    usual = own["wire"]["each_metre"] + own["wire"]["per_mm2_metre"] * size.area_mm2
    return WireChoice(
        name=size.name,
        loop_ohm_per_m=2 * ohm_per_m(size.area_mm2, temperature_c),
        fuse_most_a=size.ampacity_a,
        carries_a=limits().wire_load * size.ampacity_a,
        price_per_m=2 * (per_metre or usual),
        area_mm2=size.area_mm2,
    )
