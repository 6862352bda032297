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

Node numbers: pixels first, in house order, then start and end pads that a wire uses, junctions,
supply terminals, and last the fixed nodes, one ideal source a supply. A supply without
`source_ohm` has its terminal on the fixed node itself.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.errors import EvenfallError
from layouts.records import House, Run, Wire, WireEnd

from .law import Law, law

#: [Ω·mm²/m] annealed copper at 20 °C, 100 % IACS: 58 MS/m (IEC 60028).
COPPER_OHM_MM2_PER_M = 1 / 58
#: [1/K] its temperature coefficient at 20 °C, constant mass (IACS).
COPPER_PER_K = 0.00393


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

    @property
    def nodes(self) -> int:
        """Free and fixed nodes together."""
        return self.free + len(self.fixed_v)


def copper_factor(temperature_c: float) -> float:
    """Resistance of copper at `temperature_c` over that at 20 °C."""
    return 1 + COPPER_PER_K * (temperature_c - 20)


def wire_loop_ohm(wire: Wire, temperature_c: float) -> float:
    """[Ω] of both conductors of a wire."""
    one_way = COPPER_OHM_MM2_PER_M * wire.length_m / wire.size.area_mm2
    return 2 * one_way * copper_factor(temperature_c)


def rail_loop_ohm(run: Run, temperature_c: float) -> float:
    """[Ω] of both rails between two neighbouring pixels of a run."""
    return 2 * run.kind.rail_ohm_per_m * run.pitch_m * copper_factor(temperature_c)


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
    edges: list[np.ndarray] = []
    conductances: list[np.ndarray] = []

    def join(a: np.ndarray, b: np.ndarray, ohm: float) -> None:
        edges.append(np.stack([a, b], axis=1))
        conductances.append(np.full(len(a), 1 / ohm))

    factor_c = house.temperature_c
    for run in house.runs:
        beside = np.arange(run.first, run.first + run.count)
        join(beside[:-1], beside[1:], rail_loop_ohm(run, factor_c))

    wire_ends = [(nodes.at(wire.start), nodes.at(wire.end)) for wire in house.wires]
    for (kind, name, pad), node in nodes.number.items():
        if kind == "run":
            run = house.run(name)
            pixel = run.first if pad == 0 else run.first + run.count - 1
            join(np.array([node]), np.array([pixel]), rail_loop_ohm(run, factor_c) / 2)

    # Fixed nodes come last. An ideal supply's terminal moves there; any other keeps its own
    # node, joined to the source by the source's resistance.
    terminals = {
        supply.name: nodes.number.get(("supply", supply.name, 0)) for supply in house.supplies
    }
    gone = sorted(
        node
        for supply in house.supplies
        if supply.source_ohm == 0 and (node := terminals[supply.name]) is not None
    )
    free = nodes.count - len(gone)
    renumber = np.arange(nodes.count)
    for node in gone:
        renumber[node:] -= 1
    for index, supply in enumerate(house.supplies):
        node = terminals[supply.name]
        if node is None:
            continue
        if supply.source_ohm == 0:
            renumber[node] = free + index

    wire_first = sum(len(part) for part in edges)
    for (a, b), wire in zip(wire_ends, house.wires, strict=True):
        join(np.array([a]), np.array([b]), wire_loop_ohm(wire, factor_c))
    edge = renumber[np.concatenate([*edges, np.empty((0, 2), dtype=np.int64)]).astype(np.int64)]
    edge_s = np.concatenate([*conductances, np.empty(0)])

    sources = [
        (renumber[node], free + index, 1 / supply.source_ohm)
        for index, supply in enumerate(house.supplies)
        if supply.source_ohm > 0 and (node := terminals[supply.name]) is not None
    ]
    if sources:
        edge = np.concatenate([edge, np.array([(s[1], s[0]) for s in sources], dtype=np.int64)])
        edge_s = np.concatenate([edge_s, np.array([s[2] for s in sources])])

    network = Network(
        house=house,
        law=law(house),
        pixels=len(house.pixels),
        free=free,
        fixed_v=np.array([supply.volts for supply in house.supplies], dtype=float),
        edge=edge,
        edge_s=edge_s,
        wire_edge=wire_first + np.arange(len(house.wires)),
    )
    if house.supplies:
        _refuse_unfed(network)
    return network


def _refuse_unfed(network: Network) -> None:
    """EvenfallError naming the first run that no supply reaches."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    size = network.nodes
    weight = np.ones(len(network.edge))
    graph = coo_array((weight, (network.edge[:, 0], network.edge[:, 1])), shape=(size, size))
    _, part = connected_components(graph, directed=False)
    unfed = ~np.isin(part[: network.free], part[network.free :])
    if not unfed.any():
        return
    node = int(np.flatnonzero(unfed)[0])
    if node < network.pixels:
        run = network.house.runs[network.house.pixels.run[node]]
        raise EvenfallError(f"run '{run.name}' has no way to any supply; feed it with a wire")
    raise EvenfallError("a junction has no way to any supply; wire it to one or remove it")
