"""Which supply feeds which run, as the wires say."""

from __future__ import annotations

from layouts.catalogue import limits
from layouts.records import House, Run, Supply
from layouts.wiring import connected


def feeders(house: House) -> dict[str, tuple[Supply, ...]]:
    """Every run's name to the supplies that its wires lead to."""
    groups = connected(house.wires)
    return {
        run.name: tuple(
            supply
            for supply in house.supplies
            if ("run", run.name) in groups
            and groups.get(("supply", supply.name)) == groups["run", run.name]
        )
        for run in house.runs
    }


def supplies_joined(house: House) -> list[tuple[Supply, ...]]:
    """Supplies whose + hang together, network by network."""
    groups = connected(house.wires)
    networks: dict[int, list[Supply]] = {}
    for supply in house.supplies:
        if ("supply", supply.name) in groups:
            networks.setdefault(groups["supply", supply.name], []).append(supply)
    return [tuple(network) for network in networks.values() if len(network) > 1]


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
    groups = connected(house.wires)
    return [supply for supply in house.supplies if ("supply", supply.name) not in groups]
