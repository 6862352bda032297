"""The wires of a house as a tree from its supplies, which is how the diagram draws them."""

from __future__ import annotations

from dataclasses import dataclass, field

from layouts.pieces import piece_of
from layouts.records import House, Wire, WireEnd

_Place = tuple[str, str, int]


@dataclass(frozen=True)
class Branch:
    """One wire in the order of the diagram: how deep it hangs, and where it leads."""

    wire: int  # number in the house, from 0
    depth: int  # 0: from the supply itself
    parent: int  # index of the row that it hangs on; −1 for the supply
    end: WireEnd  # away from the supply


@dataclass
class _Growing:
    house: House
    used: set[int] = field(default_factory=set)
    children: dict[int, list[int]] = field(default_factory=dict)  # of a wire; −1 of the supply
    away: dict[int, WireEnd] = field(default_factory=dict)


def branches(house: House, supply: str) -> tuple[Branch, ...]:
    """Every wire that hangs on a supply, each once, what it leads to below it."""
    growing = _Growing(house)
    _grow(growing, ("supply", supply, 0), -1)
    _beyond_runs(growing, supply)
    return _flat(growing)


def unsupplied(house: House) -> tuple[int, ...]:
    """The wires that hang on no supply."""
    hung = {each.wire for supply in house.supplies for each in branches(house, supply.name)}
    return tuple(number for number in range(len(house.wires)) if number not in hung)


def _place(end: WireEnd) -> _Place:
    return (end.kind, end.name, end.pad if end.kind == "run" else 0)


def _piece(house: House, end: WireEnd) -> tuple[str, int]:
    """The run and which of its pieces between cuts a pad is on."""
    return end.name, piece_of(house.run(end.name), end.pad)


def _grow(growing: _Growing, place: _Place, on: int) -> None:
    """Hang on `on` the wires from a place that are not yet in the tree, breadth first."""
    waiting = [(place, on)]
    while waiting:
        here, parent = waiting.pop(0)
        for number, wire in enumerate(growing.house.wires):
            if number in growing.used:
                continue
            away = _other(wire, here)
            if away is None:
                continue
            growing.used.add(number)
            growing.away[number] = away
            growing.children.setdefault(parent, []).append(number)
            if away.kind != "supply":
                waiting.append((_place(away), number))


def _other(wire: Wire, here: _Place) -> WireEnd | None:
    if _place(wire.start) == here:
        return wire.end
    return wire.start if _place(wire.end) == here else None


def _beyond_runs(growing: _Growing, supply: str) -> None:
    """Hang what begins elsewhere on a run below the last wire that feeds that piece of it."""
    house, found = growing.house, True
    while found:
        found = False
        fed = {
            _piece(house, end): number for number, end in growing.away.items() if end.kind == "run"
        }
        for number, wire in enumerate(house.wires):
            if number in growing.used:
                continue
            for near in (wire.start, wire.end):
                away = wire.end if near is wire.start else wire.start
                if near.kind != "run" or away.kind == "supply":
                    continue
                on = fed.get(_piece(house, near))
                if on is None or _from_supply(house, number):
                    continue
                growing.used.add(number)
                growing.away[number] = away
                growing.children.setdefault(on, []).append(number)
                _grow(growing, _place(away), number)
                found = True
                break
            if found:
                break


def _from_supply(house: House, number: int) -> bool:
    wire = house.wires[number]
    return "supply" in (wire.start.kind, wire.end.kind)


def _flat(growing: _Growing) -> tuple[Branch, ...]:
    rows: list[Branch] = []
    waiting = [(number, 0, -1) for number in reversed(growing.children.get(-1, []))]
    while waiting:
        number, depth, parent = waiting.pop()
        rows.append(Branch(number, depth, parent, growing.away[number]))
        index = len(rows) - 1
        below = growing.children.get(number, [])
        waiting += [(child, depth + 1, index) for child in reversed(below)]
    return tuple(rows)
