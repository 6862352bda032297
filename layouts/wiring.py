"""From supply, wire and output entries to records; what hangs together and what does not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import TYPE_CHECKING

from layouts.catalogue import wire_size
from layouts.names import did_you_mean
from layouts.points import pad, split_end
from layouts.records import Run, Supply, Wire, WireEnd
from layouts.refusals import Refusals

if TYPE_CHECKING:
    from layouts.schema import HouseFile, SupplyEntry, WireEntry


def build_supplies(entries: list[SupplyEntry]) -> tuple[Supply, ...]:
    """The supplies in file order."""
    return tuple(
        Supply(
            name=entry.name,
            volts=entry.volts,
            rated_a=entry.amps,
            efficiency=entry.efficiency,
            no_load_w=entry.no_load_w,
            source_ohm=entry.source_ohm,
        )
        for entry in entries
    )


def build_wires(
    file: HouseFile, runs: tuple[Run, ...], run_names: set[str], refusals: Refusals
) -> tuple[Wire, ...]:
    """The wires in file order. Ends that lead nowhere and runs without power are refused."""
    by_name = {run.name: run for run in runs}
    supplies = {supply.name for supply in file.supplies}
    wires: list[Wire] = []
    whole = True
    for index, entry in enumerate(file.wires):
        path = ("wires", index)
        ends = []
        for key, text in (("from", entry.start), ("to", entry.end)):
            ends.append(
                _end(text, (*path, key), by_name, run_names, supplies, file.units, refusals)
            )
        start, end = ends
        if start is None or end is None:
            whole = False
            continue
        if (start.kind, start.name, start.pad) == (end.kind, end.name, end.pad):
            refusals.add(path, f"the wire leads from '{start.text}' to itself", "change an end")
            continue
        wires.append(
            Wire(start, end, wire_size(entry.wire), length_m=entry.length, fuse_a=entry.fuse)
        )
    if whole:
        _nowhere(file.wires, wires, run_names | supplies, refusals)
        if supplies:
            _unpowered(file, wires, refusals)
    return tuple(wires)


def _end(
    text: str,
    path: tuple[str | int, ...],
    runs: Mapping[str, Run],
    run_names: set[str],
    supplies: set[str],
    unit: str,
    refusals: Refusals,
) -> WireEnd | None:
    name, point = split_end(text)
    if point is None:
        if name in run_names:
            do = f"write {name}.start, {name}.end, {name}[75] or {name}@2.5 m"
            refusals.add(path, f"'{name}' is a run; a wire needs a point of it", do)
            return None
        return WireEnd("supply" if name in supplies else "junction", name, text=text)
    if name not in run_names:
        if name in supplies:
            refusals.add(path, f"'{name}' is a supply and has no points", f"write '{name}'")
        else:
            refusals.unknown(path, "run", name, run_names)
        return None
    if name not in runs:
        return None  # complained about already
    try:
        return WireEnd("run", name, pad(runs[name], point, unit), text)
    except ValueError as error:
        what, _, do = str(error).partition("; ")
        refusals.add(path, what, do)
        return None


def _nowhere(
    entries: list[WireEntry], wires: list[Wire], names: set[str], refusals: Refusals
) -> None:
    """A junction that only one wire reaches leads nowhere, and often is a slip of the pen."""
    reached = Counter(
        end.name for wire in wires for end in (wire.start, wire.end) if end.kind == "junction"
    )
    for index, entry in enumerate(entries):
        for key, text in (("from", entry.start), ("to", entry.end)):
            if reached.get(text.strip()) == 1:
                others = names | {name for name in reached if name != text.strip()}
                do = did_you_mean(text.strip(), others)
                what = f"nothing else reaches junction '{text.strip()}': a wire to nowhere"
                refusals.add(("wires", index, key), what, do)


def _unpowered(file: HouseFile, wires: list[Wire], refusals: Refusals) -> None:
    groups = connected(wires)
    powered = {groups.get(("supply", supply.name)) for supply in file.supplies} - {None}
    for index, run in enumerate(file.runs):
        if groups.get(("run", run.name)) not in powered:
            what = f"run '{run.name}' has no power: no wire leads to it from any supply"
            refusals.add(("runs", index, "name"), what, "add a wire to one of its points")


def connected(wires: list[Wire] | tuple[Wire, ...]) -> dict[tuple[str, str], int]:
    """Which supplies, junctions and runs hang together: (kind, name) → number of the network."""
    group: dict[tuple[str, str], tuple[str, str]] = {}

    def root(node: tuple[str, str]) -> tuple[str, str]:
        group.setdefault(node, node)
        while group[node] != node:
            group[node] = group[group[node]]
            node = group[node]
        return node

    for wire in wires:
        a, b = ((end.kind, end.name) for end in (wire.start, wire.end))
        group[root(a)] = root(b)
    numbers: dict[tuple[str, str], int] = {}
    return {node: numbers.setdefault(root(node), len(numbers)) for node in list(group)}
