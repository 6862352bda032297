"""Where boxes hang: supplies, controllers and junctions.

What the house says of a supply or controller holds. Where it says nothing, the box is supposed
beside the first thing that hangs on it, and marked as such, so that nobody takes it for a place.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from layouts import spot_xy_m
from layouts.place import along_path
from layouts.records import House, WireEnd

from .cable_ways import CableWays, cable_ways, pad_m

#: How far beside a pad a box is supposed to hang, and how far from the next box [m].
_BESIDE_M, _APART_M = 0.55, 0.7
#: Kept between a supposed box and the rim of the drawing [m].
_RIM_M = 0.25

BoxForm = Literal["supply", "controller", "junction"]
_Spot = tuple[float, float]


@dataclass(frozen=True)
class WallBox:
    """One box on the wall. `stated`: the house file says where."""

    form: BoxForm
    name: str
    xy_m: _Spot
    stated: bool


@dataclass(frozen=True, eq=False)
class HungBoxes:
    """Where every box hangs and every wire lies."""

    boxes: tuple[WallBox, ...]
    ways: CableWays | None  # None: there are no wires, or no supplies

    @property
    def supposed(self) -> frozenset[str]:
        """Names of the supplies whose place the house file does not say."""
        return frozenset(b.name for b in self.boxes if b.form == "supply" and not b.stated)


def hung(house: House) -> HungBoxes:
    """The boxes of `house`, and its wires as they lie from there."""
    spots: dict[str, _Spot] = {}
    stated = {supply.name: spot_xy_m(house, supply.at) for supply in house.supplies}
    taken = [spot for spot in stated.values() if spot is not None]
    for number, supply in enumerate(house.supplies):
        spot = stated[supply.name]
        spots[supply.name] = spot or _free(house, _supposed(house, supply.name, number), taken)
    boxes = [
        WallBox("supply", name, spot, stated[name] is not None) for name, spot in spots.items()
    ]
    placed = replace(
        house, supplies=tuple(replace(each, at=spots[each.name]) for each in house.supplies)
    )
    ways = _ways(placed)
    joints = ways.junctions if ways is not None else {}
    boxes += _controllers(house, [*taken, *joints.values()])
    boxes += [WallBox("junction", name, spot, True) for name, spot in joints.items()]
    return HungBoxes(tuple(boxes), ways)


def _ways(house: House) -> CableWays | None:
    """`cable_ways`; a wire on a junction that feeds no run lies nowhere, (0, 2), and spoils none
    of the others."""
    ways = cable_ways(house)
    if ways is not None or not house.supplies:
        return ways
    fed = _fed_junctions(house)
    kept = [
        number for number, wire in enumerate(house.wires)
        if all(end.kind != "junction" or end.name in fed for end in (wire.start, wire.end))
    ]  # fmt: skip
    ways = cable_ways(replace(house, wires=tuple(house.wires[number] for number in kept)))
    if ways is None:
        return None
    lie = [np.zeros((0, 2))] * len(house.wires)
    for number, way in zip(kept, ways.ways, strict=True):
        lie[number] = way
    return replace(ways, ways=tuple(lie))


def _fed_junctions(house: House) -> set[str]:
    """Junctions from which a run is reached over junctions alone."""
    links = _links(house)
    found: set[str] = set()
    waiting = [key for key, ends in links.items()
               if key[0] == "junction" and any(end.kind == "run" for end in ends)]  # fmt: skip
    while waiting:
        kind, name = waiting.pop()
        if name not in found:
            found.add(name)
            waiting += [(end.kind, end.name) for end in links[kind, name]
                        if end.kind == "junction"]  # fmt: skip
    return found


def _controllers(house: House, taken: list[_Spot]) -> list[WallBox]:
    """Controllers by where they hang: outputs of one place are ports of one controller."""
    found: dict[tuple[_Spot, bool], list[str]] = {}
    for output in house.outputs:
        spot = spot_xy_m(house, output.at)
        if spot is not None:
            found.setdefault((spot, True), []).append(output.name)
        elif output.chain:
            run = house.run(output.chain[0])
            before = run.path_m[0] - _along(run.path_m, 0.0) * _BESIDE_M
            supposed = _free(house, (float(before[0]), float(before[1])), taken)
            found.setdefault((supposed, False), []).append(output.name)
    return [
        WallBox("controller", ", ".join(names), spot, said) for (spot, said), names in found.items()
    ]


def _supposed(house: House, supply: str, number: int) -> _Spot:
    """Beside the first pad that a supply feeds, below it where there is room."""
    end = _first_pad(house, supply)
    if end is None:
        width, _ = house.drawing.size_m
        return (width * (number + 1) / (len(house.supplies) + 1), _RIM_M)
    path = house.run(end.name).path_m
    at_m = pad_m(house, end)
    pad = along_path(path, np.array([at_m]))[0][0]
    along = _along(path, at_m)
    across = np.array([-along[1], along[0]])
    across = -across if across[1] > 1e-9 else across
    spot = pad + across * _BESIDE_M
    if spot[1] < _RIM_M:
        spot = pad - across * _BESIDE_M
    return (float(spot[0]), float(spot[1]))


def _along(path: np.ndarray, at_m: float) -> np.ndarray:
    return np.asarray(along_path(path, np.array([at_m]))[1][0])


def _first_pad(house: House, supply: str) -> WireEnd | None:
    """The first pad of a run that a supply feeds, over junctions; None where it feeds none."""
    links = _links(house)
    seen: set[tuple[str, str]] = set()

    def first(here: tuple[str, str]) -> WireEnd | None:
        seen.add(here)
        for end in links.get(here, []):
            found = end if end.kind == "run" else None
            if found is None and (end.kind, end.name) not in seen:
                found = first((end.kind, end.name))
            if found is not None:
                return found
        return None

    return first(("supply", supply))


def _links(house: House) -> dict[tuple[str, str], list[WireEnd]]:
    found: dict[tuple[str, str], list[WireEnd]] = {}
    for wire in house.wires:
        for here, there in ((wire.start, wire.end), (wire.end, wire.start)):
            found.setdefault((here.kind, here.name), []).append(there)
    return found


def _free(house: House, spot: _Spot, taken: list[_Spot]) -> _Spot:
    """A spot inside the drawing and beside no other box; it is then taken."""
    width, height = house.drawing.size_m
    x, y = (min(max(v, _RIM_M), max(most - _RIM_M, _RIM_M))
            for v, most in zip(spot, (width, height), strict=True))  # fmt: skip
    steps = [0.0, *(side * n * _APART_M for n in range(1, 40) for side in (1, -1))]
    for step in steps:
        here = (x + step, y)
        inside = _RIM_M <= here[0] <= width - _RIM_M
        if inside and all(np.hypot(here[0] - a, here[1] - b) >= _APART_M - 1e-9 for a, b in taken):
            taken.append(here)
            return here
    taken.append((x, y))
    return (x, y)
