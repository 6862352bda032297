"""Which supply feeds which run, as the wires say."""

from __future__ import annotations

from layouts.catalogue import limits
from layouts.pieces import Point, joined
from layouts.records import House, Run, Supply


def feeders(house: House) -> dict[str, tuple[Supply, ...]]:
    """Every run's name to the supplies whose + its wires lead to, whatever piece of it."""
    networks = joined(house)
    reached: dict[str, set[int]] = {}
    for (kind, name, _), number in networks.items():
        if kind == "run":
            reached.setdefault(name, set()).add(number)
    return {
        run.name: tuple(
            supply
            for supply in house.supplies
            if networks.get(_terminal(supply)) in reached.get(run.name, ())
        )
        for run in house.runs
    }


def supplies_joined(house: House) -> list[tuple[Supply, ...]]:
    """Supplies whose + hang together, network by network. A − that runs on joins nothing."""
    number = joined(house)
    networks: dict[int, list[Supply]] = {}
    for supply in house.supplies:
        if _terminal(supply) in number:
            networks.setdefault(number[_terminal(supply)], []).append(supply)
    return [tuple(network) for network in networks.values() if len(network) > 1]


def _terminal(supply: Supply) -> Point:
    return ("supply", supply.name, 0)


def supply_mismatches(house: House) -> list[tuple[Supply, Run]]:
    """Runs whose kind wants another voltage than a supply that feeds them."""
    fed = feeders(house)
    return [
        (supply, run)
        for run in house.runs
        for supply in fed[run.name]
        if not limits().suits(supply.volts, run.kind.supply_v)
    ]


def unused_supplies(house: House) -> list[Supply]:
    """Supplies that no wire leaves."""
    used = joined(house)
    return [supply for supply in house.supplies if _terminal(supply) not in used]
