"""A proposal as the house it makes: entries of a house file, and what the true circuit says."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np

from layouts import change
from layouts.catalogue import limits
from layouts.records import House, Run
from sim.circuit import build, far_shorts, loads, utilisation

from .line_plan import TAP_M, Trunk, pieces
from .market import Box
from .proposal import Proposal
from .records import Line


def sections(house: House, made: Proposal, boxes: Sequence[Box]) -> dict[str, Any]:
    """What of the house file the proposal changes: `supplies`, `wires`, the `cuts` of runs, and
    `places` of `boxes` that the house does not have yet.

    What the house has already stays; lengths are strings in metres.
    """
    names = unit_names(house, made)
    market = made.market
    supplies = []
    for unit, name in zip(made.units, names, strict=True):
        choice = market.supplies[unit.choice]
        if choice.existing:
            continue
        supplies.append(
            {
                "name": name,
                "volts": choice.volts,
                "amps": choice.rated_a,
                "source_ohm": choice.source_ohm,
                "at": choice.place,
            }
        )
    wires: list[dict[str, Any]] = []
    taken = _taken(house) | set(names)
    cuts: dict[str, list[int]] = {run.name: list(run.cuts) for run in house.runs}
    for number, fed in enumerate(made.fed):
        line = fed.line
        taps: dict[int, str] = {}
        for trunk in fed.plan.trunks:
            wires += _trunk(house, made, number, trunk, names, taken, taps)
        for feed, fuse in zip(fed.plan.feeds, fed.verdict.fuse, strict=True):
            far_m = TAP_M if feed.pad in taps else line.reach_m[feed.supply, feed.pad]
            wires.append(
                {
                    "from": taps.get(feed.pad) or names[made.unit_of(number, feed.pad)],
                    "to": point(house, line, feed.pad),
                    "wire": market.wires[feed.wire].name,
                    "length": _metres(far_m),
                    "fuse": market.fuses[fuse].rating_a,
                }
            )
        for node in sorted(fed.plan.cuts):
            run, position = cut_at(house, line, node)
            cuts[run].append(position)
        for node, wire in fed.plan.joined:
            wires.append(
                {
                    "from": point(house, line, node - 1),
                    "to": point(house, line, node),
                    "wire": market.wires[wire].name,
                    "length": _metres(line.gap_m[node]),
                }
            )
    changed = {
        run.name: {"cuts": sorted(set(cuts[run.name]))}
        for run in house.runs
        if set(cuts[run.name]) != set(run.cuts)
    }
    used = {choice["at"] for choice in supplies}
    places = [
        {"name": box.name, "at": list(box.at_m), "mains": True, "sheltered": box.sheltered}
        for box in boxes
        if box.proposed and box.name in used
    ]
    return {"places": places, "supplies": supplies, "wires": wires, "runs": changed}


def wired(house: House, made: Proposal, boxes: Sequence[Box]) -> House:
    """The house with the proposal carried out."""
    parts = sections(house, made, boxes)
    return change(
        house,
        places=[*house.places, *parts["places"]],
        supplies=[*house.supplies, *parts["supplies"]],
        wires=[*house.wires, *parts["wires"]],
        runs=parts["runs"],
    )


def agreement(
    house: House, codes: np.ndarray, boxes: Sequence[Box], most_drop: float
) -> Callable[[Proposal], float]:
    """The judgement of the true circuit for `codes` (F, N, 4): [V] that a proposal lacks; 0 where
    it keeps every limit."""

    def lacks_v(made: Proposal) -> float:
        network = build(wired(house, made, boxes))
        seen = loads(network, codes)
        worst = utilisation(network, seen).max(axis=0)
        feed_v = network.feed_v[[run.first for run in house.runs]]
        lost = feed_v - seen.run_v
        over = float((lost - min(most_drop, limits().drop_warning) * feed_v).max())
        if worst.max() > 1 + 1e-9 or over > 1e-9:
            return max(over, 1e-3)
        for wire, short in zip(network.house.wires, far_shorts(network), strict=True):
            if short is not None and wire.fuse_a and not short.opens(wire.fuse_a * (1 - 1e-9)):
                return 5e-3
        return 0.0

    return lacks_v


def unit_names(house: House, made: Proposal) -> list[str]:
    """A name for every supply: that of its place, numbered where there are several."""
    taken = _taken(house)
    choices = [made.market.supplies[unit.choice] for unit in made.units]
    places = [choice.place for choice in choices if not choice.existing]
    names = []
    for choice in choices:
        if choice.existing:
            names.append(choice.existing)
            continue
        name = place = choice.place
        number = 1
        while name in taken or (places.count(place) > 1 and name == place):
            number += 1
            name = f"{place}-{number - 1}" if places.count(place) > 1 else f"{place}-{number}"
        taken.add(name)
        names.append(name)
    return names


def _taken(house: House) -> set[str]:
    """Names that a new supply or junction may not have."""
    taken = {supply.name for supply in house.supplies} | {run.name for run in house.runs}
    return taken | {end.name for wire in house.wires for end in (wire.start, wire.end)}


def _trunk(
    house: House,
    made: Proposal,
    number: int,
    trunk: Trunk,
    names: list[str],
    taken: set[str],
    taps: dict[int, str],
) -> list[dict[str, Any]]:
    """The pieces of a trunk from tap to tap; `taps` gains the junction of each pad."""
    fed, market = made.fed[number], made.market
    supply = {f.pad: f.supply for f in fed.plan.feeds}
    before_m, begin = 0.0, names[made.unit_of(number, trunk.pads[0])]
    out: list[dict[str, Any]] = []
    for pad in trunk.pads:
        run = house.runs[house.pixels.run[int(fed.line.node[pad])]]
        count = 1
        while (name := f"{run.name}-tap-{count}") in taken:
            count += 1
        taken.add(name)
        taps[pad] = name
        far_m = float(fed.line.reach_m[supply[pad], pad])
        piece: dict[str, Any] = {
            "from": begin,
            "to": name,
            "wire": market.wires[trunk.wire].name,
            "length": _metres(max(far_m - before_m, 0.01)),
        }
        if not out:
            piece["fuse"] = market.fuses[trunk.fuse].rating_a
        out.append(piece)
        before_m, begin = far_m, name
    return out


def point(house: House, line: Line, node: int) -> str:
    """How a house file names a node of a line."""
    index = int(line.node[node])
    run = house.runs[house.pixels.run[index]]
    if line.pixel[node]:
        return f"{run.name}[{index - run.first}]"
    return (
        f"{run.name}.start"
        if index == run.first and _is_start(line, node, run)
        else f"{run.name}.end"
    )


def _is_start(line: Line, node: int, run: Run) -> bool:
    """Whether an end pad is the start of its run; a run of one pixel has both beside it."""
    if run.count > 1:
        return True
    forwards = (
        node + 1 < line.size and line.node[node + 1] == line.node[node] and line.pixel[node + 1]
    )
    return bool(forwards)


def cut_at(house: House, line: Line, node: int) -> tuple[str, int]:
    """The run and position before which a cut before `node` stands."""
    index = int(max(line.node[node - 1], line.node[node]))
    run = house.runs[house.pixels.run[index]]
    return run.name, index - run.first


def _metres(length_m: float) -> str:
    return f"{np.ceil(length_m * 100 - 1e-6) / 100:g} m"


__all__ = ["agreement", "cut_at", "pieces", "point", "sections", "unit_names", "wired"]
