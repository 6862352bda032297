"""Why nothing that can be bought keeps the limits: which limit, by how much, what would free it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from layouts import length_text
from layouts.catalogue import limits

from .records import Line, Market
from .solve_lines import can_be_fed

#: Drops [share of the supply's voltage] and shares of the load that are tried, nearest first.
_DROPS = (0.01, 0.02, 0.03, 0.05, 0.08, 0.10, 0.12, 0.15, 0.2, 0.25, 0.3)
_LOADS = (0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3, 0.2, 0.1)


def why_not(lines: list[Line], market: Market, units: str = "m") -> str:
    """In words, for lines that nothing could be proposed for; lengths in `units`."""
    for line in lines:
        if not any(limits().suits(s.volts, line.volts) for s in market.supplies):
            return (
                f"no supply of {line.volts:g} V can be bought, which {line.name} needs; add one to "
                "the parts file"
            )
        if not np.isfinite(line.reach_m).any():
            return f"no place has a way to {line.name}; add a place or a route"
    for line in lines:
        if not can_be_fed(line, market):
            return _of_line(line, market, units)
    return _together(lines, market)


def _of_line(line: Line, market: Market, units: str) -> str:
    rules = market.rules
    bare = replace(market, rules=replace(rules, shorts=False))
    if can_be_fed(line, bare):
        return (
            f"on {line.name} no fuse would open on a short at the far end of what it feeds"
            f" ({rules.opens:g} times its rating); smaller fuses in the parts file, thicker wire or"
            " a nearer place would free it"
        )

    def with_drop(share: float) -> bool:
        return can_be_fed(line, replace(bare, rules=replace(rules, shorts=False, most_drop=share)))

    drop = _first([d for d in _DROPS if d > rules.most_drop], with_drop)
    near = length_text(round(float(line.reach_m.min()), 1), units)
    if drop is not None:
        larger = f"--drop {drop:.0%}, " if drop <= limits().drop_warning else ""
        return (
            f"{line.name} cannot keep a drop of {rules.most_drop * 100:g} % with the wires there"
            f" are: about {drop * 100:g} % is lost from the nearest place, {near} of wire away;"
            f" {larger}thicker wire or a nearer place would free it"
        )

    def with_load(share: float) -> bool:
        return can_be_fed(replace(line, demand_a=line.demand_a * share), bare)

    load = _first(list(_LOADS), with_load)
    far = f"the nearest place is {near} of wire away"
    if load is None:
        return (
            f"{line.name} cannot be fed with full colour, not even at a tenth of the load: {far};"
            " thicker wire or a nearer place would free it"
        )
    return (
        f"{line.name} cannot be fed with full colour: every wire is too thin or every place too far"
        f" ({far}); about {load:.0%} of the load could be, and thicker wire or a nearer place would"
        " free the rest"
    )


def _first(values: list[float], holds: Callable[[float], bool]) -> float | None:
    return next((value for value in values if holds(value)), None)


def _together(lines: list[Line], market: Market) -> str:
    load = market.rules.supply_load
    for volts in sorted({line.volts for line in lines}):
        own = [line for line in lines if line.volts == volts]
        need_a = float(np.concatenate([line.demand_a for line in own], axis=1).sum(axis=1).max())
        fits = [s for s in market.supplies if limits().suits(s.volts, volts)]
        room_a = sum(load * s.rated_a * s.most for s in fits)
        if need_a > room_a:
            return (
                f"the supplies that can be bought carry {room_a:.1f} A at {volts:g} V for hours,"
                f" and {need_a:.1f} A are asked; add a larger supply to the parts file"
            )
    return (
        "each run can be fed by itself, but no wiring tried keeps every limit in the circuit of the"
        " whole house; a larger supply in the parts file, thicker wire or another place may free it"
    )
