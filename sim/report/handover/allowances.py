"""How far parts and meters may differ from their figures, and what the circuit makes of it.

The bands of the commissioning sheet are no rule of thumb: the house is solved again with every
allowance at its end, those ends together that give the fewest volts, the most, the least current
and the most.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from layouts.copper import ohm_per_m, temperature_factor
from sim.circuit import Network, Solution, Values, network, solve

#: [°C] of the wiring on the day of the measurement, in so far as the house is not hotter or colder.
COLD_C, HOT_C = 0.0, 40.0
#: Copper rails of a strip against their figure.
RAIL = (0.9, 1.4)
#: What real wire has of the standard's maximum; where the gauge has no maximum, of pure copper.
WIRE, WIRE_UNLISTED = (0.94, 1.0), (0.97, 1.06)
#: Pixels of one reel against their figure.
PIXEL = (0.9, 1.1)
#: A supply as it was set by its maker, by its volts: (up to, share).
SUPPLY = ((7.5, 0.03), (18.0, 0.015), (np.inf, 0.01))
#: A hand-held meter: share of the reading and a last digit or two [V], [A].
VOLT_METER, AMP_METER = (0.005, 0.02), (0.02, 0.1)


@dataclass(frozen=True)
class Allowance:
    """One of them in words, with where it comes from."""

    what: str
    text: str
    source: str


ALLOWANCES = (
    Allowance(
        "Supply",
        "set to within ±3 % at 5 V, ±1.5 % at 12 V, ±1 % at 24 V and above",
        "an enclosed family of supplies [datasheet]",
    ),
    Allowance(
        "Wire",
        "94 to 100 % of the highest resistance its standard allows; a gauge without one 97 to 106 %"
        " of pure copper",
        "IEC 60228 and UL 1581 limits [standard, transcribed], the lower end [calc]",
    ),
    Allowance(
        "Strip copper",
        "90 to 140 % of the rail resistance of the kind",
        "foil as thin as its class allows when finished [from memory], ratio [calc]",
    ),
    Allowance("Pixels", "±10 % of their current, alike on one reel", "lot to lot [from memory]"),
    Allowance(
        "Temperature",
        f"copper between {COLD_C:g} and {HOT_C:g} °C, or as far as the house file says",
        "α = 0.00393 /K, IACS [handbook]; the span is a choice",
    ),
    Allowance(
        "Volt meter", "±(0.5 % + 0.02 V)", "a hand-held meter's direct volts range [from memory]"
    ),
    Allowance(
        "Current clamp", "±(2 % + 0.1 A)", "a hand-held clamp for direct current [from memory]"
    ),
)


def widened(low: np.ndarray, high: np.ndarray, meter: tuple[float, float]) -> np.ndarray:
    """(..., 2) the band that a meter may show of what truly lies between `low` and `high`."""
    share, least = meter
    band = np.stack([low * (1 - share) - least, high * (1 + share) + least], axis=-1)
    return np.maximum(band, 0.0)


def corners(net: Network, codes: np.ndarray) -> dict[str, Solution]:
    """Solutions of `codes` (T, N, C): as reckoned, and with all allowances at their ends.

    `fewest` and `most` are of volts, `least` and `greatest` of amperes: resistance lets volts fall
    and current with them, while more current of the pixels lets volts fall and amperes rise.
    """
    tolerance = np.array([_supply(volts) for volts in net.fixed_v])
    volts = (net.fixed_v * (1 - tolerance), net.fixed_v * (1 + tolerance))
    low, high = _resistances(net, False), _resistances(net, True)
    ends = {
        "fewest": (volts[0], high, PIXEL[1]),
        "most": (volts[1], low, PIXEL[0]),
        "least": (volts[0], high, PIXEL[0]),
        "greatest": (volts[1], low, PIXEL[1]),
    }
    solved = {name: solve(_with(net, *each), codes) for name, each in ends.items()}
    return {"reckoned": solve(net, codes), **solved}


def _supply(volts: float) -> float:
    return next(share for most, share in SUPPLY if volts <= most)


def _with(net: Network, volts: np.ndarray, factor: np.ndarray, current: float) -> Network:
    law = replace(net.law, amps=net.law.amps * current, idle_a=net.law.idle_a * current)
    now = net.values
    return network(
        net.topology, Values(now.plus_s / factor, now.minus_s / factor, volts), net.house, law
    )


def _resistances(net: Network, high: bool) -> np.ndarray:
    """(E,) what the resistance of each edge is multiplied by; those in supplies stay."""
    house, at = net.house, int(high)
    here_c = house.temperature_c
    then_c = max(HOT_C, here_c) if high else min(COLD_C, here_c)
    warm = temperature_factor(then_c) / temperature_factor(here_c)
    factor = np.ones(len(net.edge))
    factor[: net.topology.first_wire] = RAIL[at] * warm
    for edge, wire in zip(net.wire_edge.tolist(), house.wires, strict=True):
        most = wire.size.max_ohm_per_km
        share = WIRE_UNLISTED[at]
        if most is not None:
            share = WIRE[at] * most / (1000 * ohm_per_m(wire.size.area_mm2))
        factor[edge] = share * warm
    return factor
