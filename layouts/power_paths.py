"""Which supply feeds which run, as the wires say."""

from __future__ import annotations

from dataclasses import dataclass

from layouts.catalogue import limits
from layouts.pieces import Point, joined, piece_bounds, point_of
from layouts.records import House, Run, Supply, Wire


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


@dataclass(frozen=True)
class RunPiece:
    """What of a run hangs together by its +: positions `first` to before `end`."""

    run: Run
    first: int
    end: int

    @property
    def whole(self) -> bool:
        """Whether it is all of its run."""
        return (self.first, self.end) == (0, self.run.count)


def unfed_pieces(house: House) -> tuple[RunPiece, ...]:
    """The pieces of runs whose + no supply reaches, run by run; none that has no pixel left."""
    networks = joined(house)
    live = {networks.get(_terminal(supply)) for supply in house.supplies} - {None}
    found = []
    for run in house.runs:
        for number, (first, end) in enumerate(piece_bounds(run)):
            fed = networks.get(("run", run.name, number)) in live
            if not fed and run.has_pixel[first:end].any():
                found.append(RunPiece(run, first, end))
    return tuple(found)


def dead_wires(house: House) -> tuple[Wire, ...]:
    """Wires whose + hangs on no supply."""
    networks, point = joined(house), point_of(house)
    live = {networks.get(_terminal(supply)) for supply in house.supplies}
    return tuple(wire for wire in house.wires if networks[point(wire.start)] not in live)


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
