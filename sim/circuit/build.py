"""From the house to the network that is solved: nodes, conductances, sources.

Why one conductor stands for two. Every wire is a + and − pair of one size and every run has two
equal rails, so the − network is a copy of the + network: for every resistance R between + nodes
a and b there is one R between − nodes a and b. Call u = V₊ + V₋ and v = V₊ − V₋ at each node. A
pixel or a supply takes from + exactly what it gives to −. Adding Kirchhoff's law of both copies,
all of that cancels: no current drives u, so u is the same everywhere in one connected network.
Subtracting them leaves Σ (v_a − v_b)/(2R) = −i(v_a). So the circuit folds, without approximation,
into one network of voltages v between + and − with loop resistances 2R. A common − of several
supplies, joined at one point, adds a branch through which no current can return; it changes
nothing.

A fuse sits in + alone; its cold resistance is added to its wire's loop, as if half of it sat in
each conductor. Where wires do not close a ring that is exact, since + and − then carry the same
current. In a ring (a run fed twice, by unlike wires) the + and − currents divide a little
differently, and the volts come out a millivolt or so off.

Node numbers: pixels first, in house order, then start and end pads that a wire uses, junctions,
supply terminals, and last the fixed nodes, one ideal source a supply. A supply without
`source_ohm` has its terminal on the fixed node itself.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from layouts import fuses
from layouts.copper import ohm_per_m, temperature_factor
from layouts.errors import EvenfallError
from layouts.records import House, Run, Wire, WireEnd

from .law import Law, law
from .order import Elimination, eliminations

if TYPE_CHECKING:
    from .elimination import Pattern


@dataclass(frozen=True, eq=False)
class Component:
    """A connected network ready to be solved: 1/D (M,) and L (Z,) of it without pixels."""

    pattern: Pattern
    inverse: np.ndarray
    entry: np.ndarray


@dataclass(frozen=True, eq=False)
class Network:
    """A house as a circuit: M free nodes (the N pixels first), S fixed ones, E edges."""

    house: House
    law: Law
    pixels: int  # N
    free: int  # M
    fixed_v: np.ndarray  # (S,) [V] of nodes M..M+S-1, one a supply
    edge: np.ndarray  # (E, 2) node numbers
    edge_s: np.ndarray  # (E,) [S] conductance of the loop, + and − together
    wire_edge: np.ndarray  # (W,) the edge of each wire; they run from wire.start to wire.end
    feed_v: np.ndarray  # (N,) [V] of the supply that reaches each pixel
    feeds: np.ndarray  # (S, R) bool: the supply reaches the run
    first_source_edge: int  # from here on, edges are the resistances inside the supplies
    beside: tuple[str, ...]  # (M − N,) in words, where the nodes that are no pixels are
    push_a: np.ndarray  # (M,) [A] that the sources push into each free node held at 0 V
    eliminations: tuple[Elimination, ...]  # of each part that only fixed nodes join to others

    @cached_property
    def parts(self) -> tuple[Component, ...]:
        """Its separate parts as the compiled core reads them, factored."""
        from .elimination import LANES, Pattern, factor

        made = []
        for plan in self.eliminations:
            push_a = self.push_a[plan.node]
            pattern = Pattern(
                *(plan.node, plan.column, plan.row, plan.product, plan.target),
                *(plan.diagonal_s, plan.entry_s, push_a),
            )
            inverse = np.repeat(plan.diagonal_s[:, None], LANES, axis=1)
            entry = np.empty((len(plan.row), LANES))
            factor(pattern, inverse, entry)
            made.append(Component(pattern, inverse[:, 0].copy(), entry[:, 0].copy()))
        return tuple(made)

    def place(self, node: int) -> str:
        """In words, where a free node is."""
        if node >= self.pixels:
            return self.beside[node - self.pixels]
        run = self.house.runs[self.house.pixels.run[node]]
        return f"pixel {node - run.first} of run {run.name}"

    @property
    def nodes(self) -> int:
        """Free and fixed nodes together."""
        return self.free + len(self.fixed_v)


def wire_loop_ohm(wire: Wire, temperature_c: float) -> float:
    """[Ω] of both conductors of a wire, and of its fuse while cold."""
    copper = 2 * wire.length_m * ohm_per_m(wire.size.area_mm2, temperature_c)
    return copper if wire.fuse_a is None else copper + fuses().cold_ohm(wire.fuse_a)


def rail_loop_ohm(run: Run, temperature_c: float) -> float:
    """[Ω] of both rails between two neighbouring pixels of a run.

    The leads of a string stay as long as they are made where its pixels are mounted closer.
    """
    kind = run.kind
    lead_m = max(run.pitch_m, kind.pitch_m) if kind.mount == "string" else run.pitch_m
    return 2 * kind.rail_ohm_per_m * lead_m * temperature_factor(temperature_c)


@dataclass(frozen=True, eq=False)
class _Edges:
    """Some edges: (n, 2) node numbers and (n,) conductance [S]."""

    ends: np.ndarray
    siemens: np.ndarray


class _Nodes:
    """Numbers the points that wires name; a point named twice is one node."""

    def __init__(self, house: House):
        self.house = house
        self.count = len(house.pixels)
        self.number: dict[tuple[str, str, int], int] = {}

    def at(self, end: WireEnd) -> int:
        """The node of a wire's end; a pad beside a pixel is the pixel's own node."""
        if end.kind == "run":
            run = self.house.run(end.name)
            if 1 <= end.pad <= run.count:
                return run.first + end.pad - 1
        key = (end.kind, end.name, end.pad if end.kind == "run" else 0)
        if key not in self.number:
            self.number[key] = self.count
            self.count += 1
        return self.number[key]


def build(house: House) -> Network:
    """The network of `house`. EvenfallError where a part of it has no way to any supply."""
    nodes = _Nodes(house)
    ends = [(nodes.at(wire.start), nodes.at(wire.end)) for wire in house.wires]
    for (a, b), wire in zip(ends, house.wires, strict=True):
        if a == b:
            raise EvenfallError(f"both ends of wire {wire.label} are one place; remove it")
    parts = [_rails(house), *_pads(nodes)]
    parts.append(
        _Edges(
            np.array(ends, dtype=np.int64).reshape(-1, 2),
            np.array([_wire_siemens(wire, house.temperature_c) for wire in house.wires]),
        )
    )
    first_wire = sum(len(part.ends) for part in parts[:-1])

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
    edge = number[np.concatenate([part.ends for part in parts])]
    behind = [
        (free + s, number[node], 1 / supply.source_ohm)
        for s, supply, node in used
        if node is not None and supply.source_ohm > 0
    ]
    first_source = len(edge)
    edge = np.concatenate([edge, np.array([b[:2] for b in behind], dtype=np.int64).reshape(-1, 2)])
    edge_s = np.concatenate([*(part.siemens for part in parts), [b[2] for b in behind]])
    volts = np.array([supply.volts for supply in house.supplies], dtype=float)
    # Fixed nodes part what hangs together by nothing else.
    part_of = groups(edge[(edge < free).all(axis=1)], free)
    push = np.zeros(free)
    for near, far in ((0, 1), (1, 0)):
        at = (edge[:, near] < free) & (edge[:, far] >= free)
        np.add.at(push, edge[at, near], edge_s[at] * volts[edge[at, far] - free])
    feed_v, feeds = _reached(house, edge, free, volts, part_of)
    return Network(
        house=house,
        law=law(house),
        pixels=len(house.pixels),
        free=free,
        fixed_v=volts,
        edge=edge,
        edge_s=edge_s,
        wire_edge=first_wire + np.arange(len(house.wires)),
        feed_v=feed_v,
        feeds=feeds,
        first_source_edge=first_source,
        beside=tuple(_in_words(key) for key, node in nodes.number.items() if node not in ideal),
        push_a=push,
        eliminations=eliminations(edge, edge_s, free, part_of),
    )


def _rails(house: House) -> _Edges:
    """Both rails between neighbouring pixels of every run."""
    first = [np.arange(run.first, run.first + run.count - 1) for run in house.runs]
    siemens = [_rail_siemens(run, house.temperature_c) for run in house.runs]
    a = np.concatenate(first)
    return _Edges(np.stack([a, a + 1], axis=1), np.repeat(siemens, [len(part) for part in first]))


def _pads(nodes: _Nodes) -> list[_Edges]:
    """Half a pitch of rail from every end pad that a wire uses to the pixel next to it."""
    out = []
    for (kind, name, pad), node in nodes.number.items():
        if kind == "run":
            run = nodes.house.run(name)
            pixel = run.first if pad == 0 else run.first + run.count - 1
            half_s = 2 * _rail_siemens(run, nodes.house.temperature_c)
            out.append(_Edges(np.array([[node, pixel]]), np.array([half_s])))
    return out


def _rail_siemens(run: Run, temperature_c: float) -> float:
    return _siemens(rail_loop_ohm(run, temperature_c), f"the rails of run {run.name}")


def _wire_siemens(wire: Wire, temperature_c: float) -> float:
    return _siemens(wire_loop_ohm(wire, temperature_c), f"wire {wire.label}")


def _siemens(ohm: float, where: str) -> float:
    """1/ohm; EvenfallError where that is no conductance."""
    if not (0 < ohm < np.inf):
        raise EvenfallError(f"the resistance of {where} comes to {ohm:g} Ω; it must be above 0")
    return 1 / ohm


def _in_words(point: tuple[str, str, int]) -> str:
    """Where a node that is no pixel is."""
    kind, name, pad = point
    if kind == "run":
        return f"the {'end' if pad else 'start'} of run {name}"
    return f"junction {name}" if kind == "junction" else f"the terminals of supply {name}"


def groups(edge: np.ndarray, nodes: int) -> np.ndarray:
    """(nodes,) numbers what hangs together by `edge` (E, 2)."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    graph = coo_array((np.ones(len(edge)), edge.T), shape=(nodes, nodes))
    return connected_components(graph, directed=False)[1]


def _reached(
    house: House, edge: np.ndarray, free: int, volts: np.ndarray, part_of: np.ndarray
) -> tuple[np.ndarray, np.ndarray]:
    """(N,) [V] of the supply that reaches each pixel, and (S, R) bool which reach each run.

    EvenfallError naming a run that none reaches.
    """
    first = np.array([run.first for run in house.runs])
    if not len(volts):
        nominal = np.array([run.kind.supply_v for run in house.runs])
        return nominal[house.pixels.run], np.zeros((0, len(first)), dtype=bool)
    reach = np.zeros((len(volts), part_of.max(initial=-1) + 1), dtype=bool)
    for near, far in ((0, 1), (1, 0)):
        at = (edge[:, near] < free) & (edge[:, far] >= free)
        reach[edge[at, far] - free, part_of[edge[at, near]]] = True
    unfed = np.flatnonzero(~reach[:, part_of].any(axis=0))
    if len(unfed):
        pixel = unfed[0] < len(house.pixels)
        where = f"run {house.runs[house.pixels.run[unfed[0]]].name}" if pixel else "a junction"
        raise EvenfallError(f"{where} has no way to any supply; lead a wire to it")
    # Where several supplies are joined, which is a finding, the highest voltage counts.
    highest = np.where(reach, volts[:, None], -np.inf).max(axis=0)
    return highest[part_of[: len(house.pixels)]], reach[:, part_of[first]]
