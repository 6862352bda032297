"""A proposal as the house it makes: entries of a house file, and what the true circuit says."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from layouts import change
from layouts.catalogue import limits
from layouts.records import House, Run
from sim.circuit import build, far_shorts, loads, utilisation

from .lengths import bought, entry
from .line_plan import TAP_M, Trunk
from .market import Box
from .proposal import Progress, Proposal
from .records import Line, SupplyChoice


@dataclass(frozen=True, eq=False)
class PlannedWire:
    """A wire of the proposal: its entry of a house file, where it comes from, what it costs."""

    entry: dict[str, Any]
    kind: Literal["feed", "trunk", "tap", "joint"]
    line: int  # number of the line it serves
    node: int  # of that line, where it ends: a pad
    length_m: float
    price: float  # with fuse, joints and work


def planned_wires(house: House, made: Proposal) -> list[PlannedWire]:
    """Every wire of the proposal, in the order in which a file gets them."""
    market, names = made.market, unit_names(house, made)
    taken = _taken(house) | set(names)
    work, wires = market.work, []
    for number, fed in enumerate(made.fed):
        line = fed.line
        taps: dict[int, str] = {}
        for trunk in fed.plan.trunks:
            wires += _trunk(house, made, number, trunk, names, taken, taps)
        for feed, fuse in zip(fed.plan.feeds, fed.verdict.fuse, strict=True):
            tapped, choice = feed.pad in taps, market.wires[feed.wire]
            far_m = TAP_M if tapped else float(line.reach_m[feed.supply, feed.pad])
            far_m = bought(far_m, house.units)
            begin = taps.get(feed.pad) or names[made.unit_of(number, feed.pad)]
            cost = (work.tap if tapped else work.feed) + market.fuses[fuse].price
            ends = (begin, point(house, line, feed.pad))
            rows = _entry(house, ends, choice.name, far_m, market.fuses[fuse].rating_a)
            cost += choice.price_per_m * far_m
            kind: Literal["feed", "tap"] = "tap" if tapped else "feed"
            wires.append(PlannedWire(rows, kind, number, feed.pad, far_m, cost))
        for node, wire in fed.plan.joined:
            choice = market.wires[wire]
            far_m = bought(float(line.gap_m[node]), house.units)
            ends = (point(house, line, node - 1), point(house, line, node))
            rows = _entry(house, ends, choice.name, far_m)
            cost = work.joint + choice.price_per_m * far_m
            wires.append(PlannedWire(rows, "joint", number, node, far_m, cost))
    return wires


def sections(house: House, made: Proposal, boxes: Sequence[Box]) -> dict[str, Any]:
    """What of the house file the proposal changes: `supplies`, `wires`, the `cuts` of runs, and
    `places` of `boxes` that the house does not have yet.

    What the house has already stays; lengths are texts with their unit.
    """
    supplies = [
        _supply(made.market.supplies[unit.choice], name)
        for unit, name in zip(made.units, unit_names(house, made), strict=True)
        if not made.market.supplies[unit.choice].existing
    ]
    cuts: dict[str, list[int]] = {run.name: list(run.cuts) for run in house.runs}
    for run, position in planned_cuts(house, made):
        cuts[run].append(position)
    changed = {
        run.name: {"cuts": sorted(set(cuts[run.name]))}
        for run in house.runs
        if set(cuts[run.name]) != set(run.cuts)
    }
    used = {choice["at"] for choice in supplies}
    places = [
        {
            "name": box.name,
            "at": [entry(each, house.units) for each in box.at_m],
            "mains": True,
            "sheltered": box.sheltered,
        }
        for box in boxes
        if box.proposed and box.name in used
    ]
    wires = [wire.entry for wire in planned_wires(house, made)]
    return {"places": places, "supplies": supplies, "wires": wires, "runs": changed}


def planned_cuts(house: House, made: Proposal) -> list[tuple[str, int]]:
    """(run, position) of every cut of the proposal."""
    return [cut_at(house, fed.line, node) for fed in made.fed for node in sorted(fed.plan.cuts)]


def _supply(choice: SupplyChoice, name: str) -> dict[str, Any]:
    """A supply's entry; what is not known of it is left to the file's own defaults."""
    known = {
        "efficiency": choice.efficiency,
        "no_load_w": choice.no_load_w,
        "source_ohm": choice.source_ohm or None,
    }
    return {
        "name": name,
        "volts": choice.volts,
        "amps": round(choice.rated_a, 3),
        **{key: value for key, value in known.items() if value is not None},
        "at": choice.place,
    }


def _entry(
    house: House, ends: tuple[str, str], size: str, length_m: float, fuse_a: float | None = None
) -> dict[str, Any]:
    start, end = ends
    made = {"from": start, "to": end, "wire": size, "length": entry(length_m, house.units)}
    return made if fuse_a is None else {**made, "fuse": fuse_a}


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
    house: House,
    codes: np.ndarray,
    boxes: Sequence[Box],
    most_drop: float,
    progress: Progress | None = None,
) -> Callable[[Proposal], float]:
    """The judgement of the true circuit for `codes` (F, N, C): [V] that a proposal lacks; 0 where
    it keeps every limit. `progress(done, total)` tells of what takes long with very many fuses."""

    def unfinished(done: float, total: float) -> None:
        if progress is not None and done < total:
            progress(done, total)

    def lacks_v(made: Proposal) -> float:
        network = build(wired(house, made, boxes))
        seen = loads(network, codes)
        worst = utilisation(network, seen).max(axis=0)
        feed_v = network.feed_v[[run.first for run in house.runs]]
        lost = feed_v - seen.run_v
        over = float((lost - min(most_drop, limits().drop_warning) * feed_v).max())
        if worst.max() > 1 + 1e-9 or over > 1e-9:
            return max(over, 1e-3)
        shorts = far_shorts(network, unfinished)[len(house.wires) :]
        for wire, short in zip(network.house.wires[len(house.wires) :], shorts, strict=True):
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
) -> list[PlannedWire]:
    """The pieces of a trunk from tap to tap; `taps` gains the junction of each pad."""
    fed, market = made.fed[number], made.market
    supply = {f.pad: f.supply for f in fed.plan.feeds}
    choice, fuse = market.wires[trunk.wire], market.fuses[trunk.fuse]
    before_m, begin = 0.0, names[made.unit_of(number, trunk.pads[0])]
    out: list[PlannedWire] = []
    for pad in trunk.pads:
        run = house.runs[house.pixels.run[int(fed.line.node[pad])]]
        count = 1
        while (name := f"{run.name}-tap-{count}") in taken:
            count += 1
        taken.add(name)
        taps[pad] = name
        far_m = float(fed.line.reach_m[supply[pad], pad])
        piece_m = bought(max(far_m - before_m, 0.01), house.units)
        rating_a, cost = (None, 0.0) if out else (fuse.rating_a, fuse.price + market.work.trunk)
        made_entry = _entry(house, (begin, name), choice.name, piece_m, rating_a)
        cost += choice.price_per_m * piece_m
        out.append(PlannedWire(made_entry, "trunk", number, pad, piece_m, cost))
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
