"""What is told of the parts of a house in few words: layers, addresses, what is behind a wire."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import pairwise

import numpy as np

from effects import Show
from layouts import House
from layouts.addresses import addresses
from layouts.kept_with import kept_with_first
from sim.app.state.drawing_things import nearest_on_path
from sim.plan.boxes import HungBoxes

#: So many letters stand in a line of a card.
_LINE = 34
#: A wire lies along a run or route where it is no farther away [m].
_ON_M = 0.02


def layers_on(show: Show | None, first: int, end: int) -> tuple[str, ...]:
    """The layers that light any of some pixels, by number and effect."""
    return ("no scheme",) if show is None else _layers_on(show, first, end)


@kept_with_first
def _layers_on(show: Show, first: int, end: int) -> tuple[str, ...]:
    found = []
    for number_, bound in enumerate(show.layers, 1):
        lit = np.zeros(show.pixels, dtype=bool)
        for part in bound.parts:
            lit[part.at] = True
        if lit[first:end].any():
            found.append(f"{number_} {bound.layer.effect}")
    return few(found) or ("no layer",)


@kept_with_first
def address_range(house: House, index: int) -> tuple[str, ...]:
    run, where = house.runs[index], addresses(house)
    there = run.first + np.flatnonzero(run.has_pixel)
    there = there[where.output[there] >= 0]
    if not len(there):
        return ("on no output",)
    first, last = int(there[0]), int(there[-1])
    output = house.outputs[where.output[first]]
    if not where.universe[first]:
        return (f"output {output.name}, pixels {where.place[first]} to {where.place[last]}",)
    ends = (f"{where.universe[p]} / {where.address[p]}" for p in (first, last))
    return (f"output {output.name} · {' to '.join(ends)}",)


def runs_behind(house: House, index: int) -> list[str]:
    """The runs that a wire leads to, over junctions, away from the supply it starts from."""
    wire = house.wires[index]
    towards = wire.start if wire.end.kind == "supply" else wire.end
    found: list[str] = []
    seen, waiting = {index}, [towards]
    while waiting:
        here = waiting.pop(0)
        if here.kind == "run":
            if here.name not in found:
                found.append(here.name)
            continue
        if here.kind == "supply":
            continue
        for number_, each in enumerate(house.wires):
            for end, other in ((each.start, each.end), (each.end, each.start)):
                if number_ not in seen and (end.kind, end.name) == (here.kind, here.name):
                    seen.add(number_)
                    waiting.append(other)
    return found


def route_of(house: House, hung: HungBoxes | None, index: int) -> tuple[str, ...]:
    """Along which runs and routes a wire lies, and whether that is more than supposed."""
    way = hung.ways.ways[index] if hung and hung.ways else np.zeros((0, 2))
    if len(way) < 2:
        return ("not known",)
    tracks = [(run.name, run.path_m) for run in house.runs]
    tracks += [(route.name, route.path_m) for route in house.routes]
    names: list[str] = []
    for a, b in pairwise(way):
        on = (
            name
            for name, path in tracks
            if all(nearest_on_path(path, end)[0] < _ON_M for end in (a, b))
        )
        name = next(on, "")
        if name and name not in names and np.hypot(*(b - a)) > 0.05:
            names.append(name)
    told = f"along {', '.join(names)}" if names else "straight"
    ends = {end.name for end in (house.wires[index].start, house.wires[index].end)
            if end.kind == "supply"}  # fmt: skip
    return (told, "from a place not stated") if hung and ends & hung.supposed else (told,)


def few(names: Iterable[str], most: int = 3) -> tuple[str, ...]:
    """Names in lines, short ones side by side; of many the first, and how many more."""
    found, lines, told = list(names), [""], 0
    for name in found:
        beside = f"{lines[-1]}, {name}" if lines[-1] else name
        if not lines[-1] or len(beside) <= _LINE:
            lines[-1] = beside
        elif len(lines) < most:
            lines.append(name)
        else:
            break
        told += 1
    if told < len(found):
        told -= len(lines[-1].split(", "))
        lines[-1] = f"and {len(found) - told} more"
    return tuple(line for line in lines if line)
