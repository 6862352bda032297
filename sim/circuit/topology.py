"""Which point of a house touches which: everything of its circuit that is no number.

Node numbers: pixels first, in house order, then start and end pads that a wire uses, junctions,
supply terminals, and last the fixed nodes, one ideal source a supply. A supply without
`source_ohm` has its terminal on the fixed node itself. Every node is a place with a + and a −.

Edges: rails, half a pitch of rail to each pad, wires, and the resistances inside the supplies. An
edge has a + and a − conductor; what they conduct, and where one of them is interrupted, are values
(`sim.circuit.values`) that change without anything here.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from layouts.errors import EvenfallError
from layouts.records import House, WireEnd

from .forms import Form
from .rings import rings
from .together import Reach


@dataclass(frozen=True, eq=False)
class Topology:
    """M free nodes (the N pixels first), S fixed ones, E edges."""

    pixels: int  # N
    free: int  # M
    supplies: int  # S
    edge: np.ndarray  # (E, 2) node numbers
    ring: np.ndarray  # (E,) which edges close rings together; −1 where none goes over the edge
    pad_run: np.ndarray  # (P,) the run of each pad edge; pads follow the rails
    first_pad: int
    first_wire: int  # wires run from wire.start to wire.end, in the house's order
    first_source: int  # from here on, edges are the resistances inside the supplies
    source_of: np.ndarray  # (E − first_source,) the supply of each of those
    beside: tuple[str, ...]  # (M − N,) in words, where the nodes that are no pixels are
    forms: dict[bytes, Form] = field(default_factory=dict, repr=False)  # worked out once
    reaches: dict[bytes, Reach] = field(default_factory=dict, repr=False)
    trees: dict[bytes, tuple[np.ndarray, ...]] = field(default_factory=dict, repr=False)

    @property
    def nodes(self) -> int:
        """Free and fixed nodes together."""
        return self.free + self.supplies

    def form(self, unlike: np.ndarray) -> Form:
        """The equations where + and − of the edges `unlike` (E,) bool differ.

        Only in rings does that matter. A form made before serves if it allows for them all.
        Where it does not, one is made that lets every edge of the rings concerned differ: who
        looks for a broken conductor asks for one after another.
        """
        needed = unlike & (self.ring >= 0)
        for form in self.forms.values():
            if not (needed & ~form.cross).any():
                return form
        cross = needed
        if self.forms:
            fresh = needed & ~next(iter(self.forms.values())).cross
            cross = needed | np.isin(self.ring, self.ring[fresh])
        made = Form.of(self.edge, self.free, self.nodes, self.ring, cross)
        self.forms[cross.tobytes()] = made
        return made


def topology(house: House) -> Topology:
    """The topology of `house`."""
    nodes = _Nodes(house)
    wires = [(nodes.at(wire.start), nodes.at(wire.end)) for wire in house.wires]
    for (a, b), wire in zip(wires, house.wires, strict=True):
        if a == b:
            raise EvenfallError(f"both ends of wire {wire.label} are one place; remove it")
    rails = _rails(house)
    pads, pad_run = _pads(nodes)
    first_wire = len(rails) + len(pads)
    edge = np.concatenate([rails, pads, np.array(wires, dtype=np.int64).reshape(-1, 2)])

    # Fixed nodes come last. The terminal of an ideal supply moves there; any other keeps its own
    # node and is joined to its source by the source's resistance.
    used = [
        (s, supply, nodes.number.get(("supply", supply.name, 0)))
        for s, supply in enumerate(house.supplies)
    ]
    ideal = [node for _, supply, node in used if node is not None and supply.source_ohm == 0]
    free = nodes.count - len(ideal)
    number = np.arange(nodes.count) - np.searchsorted(np.sort(ideal), np.arange(nodes.count))
    for s, supply, node in used:
        if node is not None and supply.source_ohm == 0:
            number[node] = free + s
    behind = [
        (s, free + s, number[node])
        for s, supply, node in used
        if node is not None and supply.source_ohm > 0
    ]
    sources = np.array([b[1:] for b in behind], dtype=np.int64).reshape(-1, 2)
    edge = np.concatenate([number[edge], sources])
    first_source = first_wire + len(wires)
    return Topology(
        pixels=len(house.pixels),
        free=free,
        supplies=len(house.supplies),
        edge=edge,
        ring=rings(edge, len(rails), first_source, len(house.pixels), free + len(house.supplies)),
        pad_run=pad_run,
        first_pad=len(rails),
        first_wire=first_wire,
        first_source=first_source,
        source_of=np.array([b[0] for b in behind], dtype=np.int64),
        beside=tuple(_in_words(key) for key, node in nodes.number.items() if node not in ideal),
    )


class _Nodes:
    """Numbers the points that wires name; a point named twice is one node."""

    def __init__(self, house: House):
        self.house = house
        self.runs = {run.name: run for run in house.runs}
        self.count = len(house.pixels)
        self.number: dict[tuple[str, str, int], int] = {}

    def at(self, end: WireEnd) -> int:
        """The node of a wire's end; a pad beside a pixel is the pixel's own node."""
        if end.kind == "run":
            run = self.runs[end.name]
            if 1 <= end.pad <= run.count:
                return run.first + end.pad - 1
        key = (end.kind, end.name, end.pad if end.kind == "run" else 0)
        if key not in self.number:
            self.number[key] = self.count
            self.count += 1
        return self.number[key]


def _rails(house: House) -> np.ndarray:
    """(N − R, 2) between neighbouring pixels of every run."""
    first = [np.arange(run.first, run.first + run.count - 1) for run in house.runs]
    a = np.concatenate([np.zeros(0, dtype=np.int64), *first])
    return np.stack([a, a + 1], axis=1)


def _pads(nodes: _Nodes) -> tuple[np.ndarray, np.ndarray]:
    """(P, 2) from every end pad that a wire uses to the pixel next to it, and (P,) its run."""
    ends, of_run = [], []
    place = {run.name: r for r, run in enumerate(nodes.house.runs)}
    for (kind, name, pad), node in nodes.number.items():
        if kind == "run":
            run = nodes.runs[name]
            ends.append((node, run.first if pad == 0 else run.first + run.count - 1))
            of_run.append(place[name])
    return np.array(ends, dtype=np.int64).reshape(-1, 2), np.array(of_run, dtype=np.int64)


def _in_words(point: tuple[str, str, int]) -> str:
    """Where a node that is no pixel is."""
    kind, name, pad = point
    if kind == "run":
        return f"the {'end' if pad else 'start'} of run {name}"
    return f"junction {name}" if kind == "junction" else f"the terminals of supply {name}"
