"""From supply, wire and output entries to records; what hangs together and what does not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Mapping
from typing import TYPE_CHECKING, TypeVar

from layouts.files.names import checked_name, did_you_mean, may_name
from layouts.files.refusals import Refusals
from layouts.files.written import Path
from layouts.known import Known
from layouts.points import pad, split_end
from layouts.records import Run, Supply, Wire, WireEnd

if TYPE_CHECKING:
    from layouts.schema import HouseFile, SupplyEntry, WireEntry

Node = TypeVar("Node", bound=Hashable)


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
            at=entry.at,
            adjust_v=None if entry.adjust_v is None else (min(entry.adjust_v), max(entry.adjust_v)),
        )
        for entry in entries
    )


def build_wires(
    file: HouseFile, runs: tuple[Run, ...], known: Known, refusals: Refusals
) -> tuple[Wire, ...]:
    """The wires in file order. Ends that lead nowhere are refused; a run without power is not: a
    house may be half wired."""
    ends = _Ends({run.name: run for run in runs}, file.units, refusals)
    wires: list[Wire] = []
    for index, entry in enumerate(file.wires):
        path = ("wires", index)
        start = ends.end(entry.start, (*path, "from"))
        end = ends.end(entry.end, (*path, "to"))
        if start is None or end is None:
            continue
        if (start.kind, start.name, start.pad) == (end.kind, end.name, end.pad):
            refusals.add(path, f"the wire leads from '{start.text}' to itself", "change an end")
        wires.append(
            Wire(start, end, known.wire(entry.wire), length_m=entry.length, fuse_a=entry.fuse)
        )
    written = refusals.texts("wires", ("from", "to"))
    named = refusals.wrote("runs") and refusals.named("runs") and refusals.named("supplies")
    if written is not None and named:
        # those of broken wires and supplies too: what is wrong in one says nothing of its ends
        taken = {*ends.run_names, *ends.supply_names}
        plain = [name for name, point in map(split_end, written) if point is None]
        reached = Counter(name for name in plain if may_name(name) and name not in taken)
        names = [*ends.run_names, *ends.supply_names, *reached]
        _nowhere(file.wires, reached, names, refusals)
    return tuple(wires)


class _Ends:
    """What the ends of wires mean in one file."""

    def __init__(self, runs: Mapping[str, Run], unit: str, refusals: Refusals):
        self._runs, self._unit, self._refusals = runs, unit, refusals
        self.run_names = refusals.names("runs")
        self.supply_names = refusals.names("supplies")

    def end(self, text: str, path: Path) -> WireEnd | None:
        """The end that `text` names; None, and a problem, where it names none."""
        name, point = split_end(text)
        if name in self.run_names:
            return self._on_run(name, point, text, path)
        if point is None and name in self.supply_names:
            return WireEnd("supply", name, text=text)
        if point is None:
            return self._junction(name, path)
        if name in self.supply_names:
            what = f"'{name}' is a supply and has no points"
            self._refusals.add(path, what, f"write '{name}'")
        else:
            self._refusals.unknown_run(path, name)
        return None

    def _junction(self, name: str, path: Path) -> WireEnd | None:
        try:
            return WireEnd("junction", checked_name(name), text=name)
        except ValueError as error:
            self._refusals.add_error(path, error)
            return None

    def _on_run(self, name: str, point: str | None, text: str, path: Path) -> WireEnd | None:
        if point is None:
            do = f"write {name}.start, {name}.end, {name}[75] or {name}@2.5 m"
            self._refusals.add(path, f"'{name}' is a run; a wire needs a point of it", do)
            return None
        if name not in self._runs:  # complained about already
            return WireEnd("run", name, text=text)
        try:
            return WireEnd("run", name, pad(self._runs[name], point, self._unit), text)
        except ValueError as error:
            self._refusals.add_error(path, error)
            return None


def _nowhere(
    entries: list[WireEntry], reached: Counter[str], names: list[str], refusals: Refusals
) -> None:
    """A junction that only one wire reaches leads nowhere, and often is a slip of the pen."""
    for index, entry in enumerate(entries):
        for key, text in (("from", entry.start), ("to", entry.end)):
            if reached.get(text.strip()) == 1:
                own = text.strip()
                do = did_you_mean(own, (name for name in names if name != own))
                what = f"nothing else reaches junction '{own}': a wire to nowhere"
                refusals.add(("wires", index, key), what, do)


def whole(end: WireEnd) -> tuple[str, str]:
    """A supply, a junction, or a run with all its pieces."""
    return end.kind, end.name


def connected(
    wires: list[Wire] | tuple[Wire, ...], node: Callable[[WireEnd], Node]
) -> dict[Node, int]:
    """Which nodes hang together by wires: node → number of the network.

    `node` says which one a wire's end is: `whole`, or the piece of a run (`layouts.pieces`).
    """
    group: dict[Node, Node] = {}

    def root(node: Node) -> Node:
        group.setdefault(node, node)
        while group[node] != node:
            group[node] = group[group[node]]
            node = group[node]
        return node

    for wire in wires:
        group[root(node(wire.start))] = root(node(wire.end))
    numbers: dict[Node, int] = {}
    return {each: numbers.setdefault(root(each), len(numbers)) for each in list(group)}
