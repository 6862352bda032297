"""Where supplies, junctions and wires are drawn over the house. Pure; pixels of the picture.

Where the file says where every supply hangs, wires are drawn as they lie. Else it says what joins
what, not where copper runs, and the drawing is a plan: supplies stand in a row on the ground, each
wire rises from its supply, follows a lane of its own above the ground and climbs to the pad it
feeds.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from layouts import House, Wire, WireEnd
from sim.plan.cable_ways import CableWays
from sim.report.lanes import beside_each_other

Point = tuple[float, float]
_Key = tuple[str, str, int]

#: At 100 %: height of the supplies' tops over the foot of the picture, of the first lane over
#: them, from lane to lane, and from wire to wire along a supply's top.
SUPPLY_UP, LANE_UP, LANE, APART = 46, 16, 10, 14

#: From cable to cable where several lie on the same line, at 100 %.
APART_LANES = 5


@dataclass(frozen=True)
class WirePlan:
    """Places by name, and the path of every wire of the house in order."""

    supplies: dict[str, Point]  # middle of the top of its box
    junctions: dict[str, Point]
    paths: tuple[tuple[Point, ...], ...]  # empty where an end has no place


def planned_wires(
    house: House, at_px: np.ndarray, size_px: tuple[int, int], scale: float
) -> WirePlan:
    """The plan of a house whose pixels are drawn at `at_px` (N, 2)."""
    width, height = size_px
    at = _pads(house, at_px)
    _place_junctions(house, at)
    top = height - SUPPLY_UP * scale
    order = sorted(house.supplies, key=lambda one: _mean_x(house, one.name, at, width))
    for index, supply in enumerate(order):
        at[("supply", supply.name, 0)] = (width * (index + 1) / (len(order) + 1), top)
    lanes = _lanes(house, at, top, scale)
    paths = tuple(_path(wire, at, lanes.get(index)) for index, wire in enumerate(house.wires))
    return WirePlan(
        {name: point for (kind, name, _), point in at.items() if kind == "supply"},
        {name: point for (kind, name, _), point in at.items() if kind == "junction"},
        paths,
    )


def wires_as_they_lie(
    ways: CableWays, house: House, to_px: Callable[[np.ndarray], np.ndarray], scale: float
) -> WirePlan:
    """The plan of a house that says where its cable lies; `to_px` leads from metres to pixels.

    Cables that share a way are drawn beside each other.
    """
    lines = beside_each_other(
        [to_px(way) for way in ways.ways], APART_LANES * scale,
        [to_px(run.path_m) for run in house.runs],
    )  # fmt: skip

    def at(spot: Point) -> Point:
        x, y = to_px(np.array(spot)).tolist()
        return x, y

    return WirePlan(
        {name: at(spot) for name, spot in ways.supplies.items()},
        {name: at(spot) for name, spot in ways.junctions.items()},
        tuple(tuple((float(x), float(y)) for x, y in line) for line in lines),
    )


def _key(end: WireEnd) -> _Key:
    return (end.kind, end.name, end.pad if end.kind == "run" else 0)


def _pads(house: House, at_px: np.ndarray) -> dict[_Key, Point]:
    """Where the pads of runs are that a wire ends on: beside their pixel."""
    found: dict[_Key, Point] = {}
    for wire in house.wires:
        for end in (wire.start, wire.end):
            if end.kind == "run":
                run = house.run(end.name)
                x, y = at_px[run.first + min(max(end.pad - 1, 0), run.count - 1)]
                found[_key(end)] = (float(x), float(y))
    return found


def _neighbours(house: House, kind: str, name: str) -> list[WireEnd]:
    pairs = [(wire.start, wire.end) for wire in house.wires]
    pairs += [(end, start) for start, end in pairs]
    return [there for here, there in pairs if (here.kind, here.name) == (kind, name)]


def _place_junctions(house: House, at: dict[_Key, Point]) -> None:
    """Each below the middle of what it joins; again and again, as one may hang on another."""
    ends = [end for wire in house.wires for end in (wire.start, wire.end)]
    names = sorted({end.name for end in ends if end.kind == "junction"})
    for _ in names:
        for name in names:
            near = [
                at[_key(one)] for one in _neighbours(house, "junction", name) if _key(one) in at
            ]
            if near:
                x, y = np.mean([point[0] for point in near]), max(point[1] for point in near)
                at[("junction", name, 0)] = (float(x), float(y) + 30)


def _mean_x(house: House, supply: str, at: dict[_Key, Point], width: float) -> float:
    near = [at[_key(one)][0] for one in _neighbours(house, "supply", supply) if _key(one) in at]
    return float(np.mean(near)) if near else width


def _lanes(
    house: House, at: dict[_Key, Point], top: float, scale: float
) -> dict[int, tuple[float, float]]:
    """Number of a wire on a supply → where it leaves the supply's top, and its lane's height.

    Wires leave in the order of where they go, and those that go farther keep lower, so that wires
    of one supply do not cross.
    """
    found: dict[int, tuple[float, float]] = {}
    for supply in house.supplies:
        x = at[("supply", supply.name, 0)][0]
        mine = [(at[_key(far)][0], index) for index, near, far in _ends_at(house, supply.name)
                if _key(far) in at]  # fmt: skip
        mine.sort()
        for place, (_, index) in enumerate(mine):
            found[index] = (x + (place - (len(mine) - 1) / 2) * APART * scale, 0.0)
        nearest = sorted(mine, key=lambda one: -abs(one[0] - x))
        for lane, (_, index) in enumerate(nearest):
            found[index] = (found[index][0], top - (LANE_UP + lane * LANE) * scale)
    return found


def _ends_at(house: House, supply: str) -> list[tuple[int, WireEnd, WireEnd]]:
    found = []
    for index, wire in enumerate(house.wires):
        for near, far in ((wire.start, wire.end), (wire.end, wire.start)):
            if near.kind == "supply" and near.name == supply:
                found.append((index, near, far))
    return found


def _path(wire: Wire, at: dict[_Key, Point], lane: tuple[float, float] | None) -> tuple[Point, ...]:
    """From supply (or the wire's start) to the end it feeds, in upright and level pieces."""
    near, far = (wire.end, wire.start) if wire.end.kind == "supply" else (wire.start, wire.end)
    start, end = at.get(_key(near)), at.get(_key(far))
    if start is None or end is None:
        return ()
    if lane is not None:
        x, level = lane
        return ((x, start[1]), (x, level), (end[0], level), end)
    level = max(start[1], end[1]) + (0 if near.kind == "junction" else 12)
    return (start, (start[0], level), (end[0], level), end)
