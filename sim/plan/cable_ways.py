"""Where the cable of a wired house lies: the way of every wire, box by box.

A supply hangs where its `at` says. From there cable takes the shortest way over runs and routes, as
lengths of a plan are reckoned. A junction sits at the run's pad that it feeds, or that the
junction behind it feeds; what hangs on it lies along the run from there.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts import spot_xy_m
from layouts.records import House, Wire, WireEnd

from .routing import CableNet, cable_net


@dataclass(frozen=True, eq=False)
class CableWays:
    """Spots [m] by name, and the line (K, 2) [m] of every wire of the house in order."""

    supplies: dict[str, tuple[float, float]]
    junctions: dict[str, tuple[float, float]]
    ways: tuple[np.ndarray, ...]


def cable_ways(house: House) -> CableWays | None:
    """Where the wires of `house` lie; None where it has none, or does not say where one of its
    supplies hangs, or where a junction sits."""
    spots: dict[str, tuple[float, float]] = {}
    for supply in house.supplies:
        spot = spot_xy_m(house, supply.at)
        if spot is None:
            return None
        spots[supply.name] = spot
    if not spots or not house.wires:
        return None
    pads = _junction_pads(house)
    net = cable_net(house, spots)
    names = list(spots)
    ways = []
    for wire in house.wires:
        way = _way(house, net, names, pads, wire)
        if way is None:
            return None
        ways.append(way)
    return CableWays(spots, {name: _xy(house, *pad) for name, pad in pads.items()}, tuple(ways))


def pad_m(house: House, end: WireEnd) -> float:
    """[m] along its run of the pad that a wire ends on."""
    run = house.run(end.name)
    if end.pad == 0:
        return 0.0
    if end.pad > run.count:
        return float(run.length_m)
    return float(house.pixels.along_m[run.first + end.pad - 1])


def _junction_pads(house: House) -> dict[str, tuple[str, float]]:
    """The run and the place [m] along it of the pad that each junction feeds first."""
    found: dict[str, tuple[str, float]] = {}
    for wire in house.wires:
        for here, there in ((wire.start, wire.end), (wire.end, wire.start)):
            if here.kind == "junction" and there.kind == "run":
                found.setdefault(here.name, (there.name, pad_m(house, there)))
    return _passed_on(house, found)


def _passed_on(house: House, found: dict[str, tuple[str, float]]) -> dict[str, tuple[str, float]]:
    """And a junction that only others hang on sits where the nearest of them does."""
    for _ in house.wires:
        before = dict(found)
        for wire in house.wires:
            for here, there in ((wire.start, wire.end), (wire.end, wire.start)):
                both = here.kind == there.kind == "junction"
                if both and here.name not in before and there.name in before:
                    found.setdefault(here.name, before[there.name])
        if len(found) == len(before):
            break
    return found


def _way(
    house: House,
    net: CableNet,
    names: list[str],
    pads: dict[str, tuple[str, float]],
    wire: Wire,
) -> np.ndarray | None:
    start, end = wire.start, wire.end
    if end.kind == "supply" and start.kind != "supply":
        start, end = end, start
    if start.kind == "supply" and end.kind == "supply":
        return np.array([net.box_m[names.index(start.name)], net.box_m[names.index(end.name)]])
    there = _spot(house, pads, end)
    if there is None:
        return None
    track = _track(house, there[0])
    if start.kind == "supply":
        return net.way(names.index(start.name), track, there[1])
    here = _spot(house, pads, start)
    if here is None:
        return None
    if here[0] == there[0]:
        return net.along(track, here[1], there[1])
    return np.array([_xy(house, *here), _xy(house, *there)])


def _spot(
    house: House, pads: dict[str, tuple[str, float]], end: WireEnd
) -> tuple[str, float] | None:
    return (end.name, pad_m(house, end)) if end.kind == "run" else pads.get(end.name)


def _track(house: House, run: str) -> int:
    return next(number for number, each in enumerate(house.runs) if each.name == run)


def _xy(house: House, run: str, along_m: float) -> tuple[float, float]:
    path = house.run(run).path_m
    corner = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(path, axis=0).T))])
    x, y = (float(np.interp(along_m, corner, path[:, axis])) for axis in (0, 1))
    return x, y
