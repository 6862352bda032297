"""Does the fuse of a wire open when its far end is shorted?

A fuse protects its wire and all that hangs on it until the next fuse. Every point of that is
shorted in turn; what counts is the point from which the fewest amperes come through the fuse.

Where several fuses feed that point, all are closed at first and share the current. They are then
taken to open one after another, the one most loaded for its rating first, until nothing flows; a
fuse has to open at what it carries when its turn comes. The first turns are those in which others
share, the last is that of a fuse left alone with the longest way to the short. A feed without a
fuse stays connected all the time, and fuses further up are taken to hold.

Pixels are left out: they draw nothing where the voltage has collapsed. The resistance of the
supply counts where the house file gives it, its own protection does not: the amperes are those
of resistance alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from .build import Network
from .law import nameplate_a
from .short_circuit import short_a
from .solve import solve_constant
from .topology import groups

#: A fuse opens within seconds at this multiple of its rating (0.15-5 s, ATO data sheet, 2nd hand).
OPENS = 2.0
#: [A] below which nothing but rounding flows; two loads are the same from this ratio up.
_NOTHING_A, _SAME = 1e-6, 1 - 1e-9


@dataclass(frozen=True)
class Short:
    """The worst far short behind the fuse of one wire."""

    amps: float  # through the fuse; a supply that limits itself gives less
    where: str  # the place of the short
    rated_a: float  # of the supplies that feed it through the fuse

    def opens(self, fuse_a: float) -> bool:
        """Whether the fuse opens within seconds."""
        return self.amps >= OPENS * fuse_a


def far_shorts(network: Network) -> tuple[Short | None, ...]:
    """One a wire, in the house's order; None where it has no fuse or no current can flow."""
    wires, edge = network.house.wires, network.edge
    found: list[Short | None] = [None] * len(wires)
    fused = np.array([w for w, wire in enumerate(wires) if wire.fuse_a is not None], dtype=int)
    if not len(fused):
        return tuple(found)
    flow = solve_constant(network, nameplate_a(network.law)).wire_a[0]
    ends = {w: edge[network.wire_edge[w]][:: 1 if flow[w] >= 0 else -1] for w in fused.tolist()}
    part = groups(edge[(edge < network.free).all(axis=1)], network.free)
    for nodes in _stretches(network, network.wire_edge[fused]):
        feeds = [w for w, (near, behind) in ends.items() if near in nodes or behind in nodes]
        if not any(ends[w][1] in nodes for w in feeds):
            continue
        own = np.flatnonzero(part == part[nodes[0]])
        joined = _touching(edge, own)
        at_turn = _in_turn(network, joined, nodes, feeds)
        for f, w in enumerate(feeds):
            near, behind = ends[w]
            amps = at_turn[:, f] if flow[w] >= 0 else -at_turn[:, f]
            # A place that the fuse does not feed is not behind it.
            amps = np.where(amps > _NOTHING_A, amps, np.inf)
            worst = int(amps.argmin())
            if behind in nodes and np.isfinite(amps[worst]):
                rated_a = _rated_a(network, joined, feeds, near)
                found[w] = Short(float(amps[worst]), network.place(int(nodes[worst])), rated_a)
    return tuple(found)


def _stretches(network: Network, fused: np.ndarray) -> Iterator[np.ndarray]:
    """The free nodes that hang together without an edge of `fused` between, stretch by stretch.

    The terminals of supplies lie before every fuse and belong to none.
    """
    edge, free = network.edge, network.free
    terminal = np.unique(edge[network.first_source_edge :])
    plain = (edge < free).all(axis=1) & ~_touching(edge, terminal)
    plain[fused] = False
    label = groups(edge[plain], free)
    label[terminal[terminal < free]] = -1
    for number in np.unique(label[label >= 0]):
        yield np.flatnonzero(label == number)


def _touching(edge: np.ndarray, nodes: np.ndarray) -> np.ndarray:
    """(E,) bool: the edges with an end among `nodes`."""
    return np.asarray(np.isin(edge, nodes).any(axis=1))


def _in_turn(
    network: Network, joined: np.ndarray, nodes: np.ndarray, feeds: list[int]
) -> np.ndarray:
    """(K, F) [A] in the wires `feeds` (F), when their turn to open comes, for a short at each of
    `nodes` (K); 0 where it never comes."""
    through = network.wire_edge[feeds]
    rated_a = np.array([network.house.wires[w].fuse_a for w in feeds])
    amps = np.zeros((len(nodes), len(feeds)))
    closed = np.ones(amps.shape, dtype=bool)
    waiting = np.arange(len(nodes))
    while len(waiting):
        patterns, which = np.unique(closed[waiting], axis=0, return_inverse=True)
        fed = []
        for number, pattern in enumerate(patterns):
            mine = waiting[which.ravel() == number]
            now = joined.copy()
            now[through[~pattern]] = False
            flowing = short_a(network, now, nodes[mine], through)
            load = np.abs(flowing) / rated_a
            most = load.max(axis=1, keepdims=True)
            turn = (load >= _SAME * most) & (most > _NOTHING_A)
            amps[mine] += np.where(turn, flowing, 0.0)
            closed[mine] &= ~turn
            fed.append(mine[turn.any(axis=1)])
        waiting = np.concatenate(fed)
    return amps


def _rated_a(network: Network, joined: np.ndarray, feeds: list[int], near: int) -> float:
    """[A] of the supplies that reach `near`, the supply side of a fuse, by other ways than
    `feeds`; of all where none does."""
    others = joined.copy()
    others[network.wire_edge[feeds]] = False
    sources = np.arange(network.free, network.nodes)
    linked = groups(network.edge[others], network.nodes)
    reached = linked[sources] == linked[near]
    if not reached.any():
        reached = np.isin(sources, network.edge[joined])
    return sum(s.rated_a for s, hit in zip(network.house.supplies, reached, strict=True) if hit)
