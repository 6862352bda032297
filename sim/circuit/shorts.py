"""Does the fuse of a wire open when its far end is shorted?

A fuse protects its wire and all that hangs on it until the next fuse. The worst place for a dead
short is where the fewest amperes flow through the fuse: the point with the most resistance behind
it. Every other fuse that feeds the same part is taken to be open already, since it may be the one
nearer to the short. Pixels are left out: they draw nothing where the voltage has collapsed. The
resistance of the supply counts where the house file gives it, that of the fuses where the
catalogue has it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from layouts import fuses
from layouts.finding import Finding
from layouts.records import Wire

from .build import Network, groups
from .law import nameplate_a
from .solve import solve_constant

#: A fuse opens within seconds at this multiple of its rating (0.15-5 s, ATO data sheet, 2nd hand).
OPENS = 2.0
#: Up to this multiple it holds for 100 hours (ATO data sheet, from memory).
HOLDS = 1.1
#: What a supply surely gives before it protects itself: 110-140 % (data sheet, 2nd hand).
SURE = 1.1
#: Unit currents solved for at a time.
_AT_A_TIME = 256


@dataclass(frozen=True)
class Short:
    """The worst far short behind the fuse of one wire."""

    amps: float  # through the fuse
    where: str  # the place of the short
    rated_a: float  # of the supplies that feed it

    def opens(self, fuse_a: float) -> bool:
        """Whether the fuse opens within seconds."""
        return self.amps >= OPENS * fuse_a


def far_shorts(network: Network) -> tuple[Short | None, ...]:
    """One a wire, in the house's order; None where it has no fuse or no current can flow."""
    house = network.house
    fused = np.array([wire.fuse_a is not None for wire in house.wires], dtype=bool)
    if not fused.any():
        return (None,) * len(house.wires)
    edge, free = network.edge, network.free
    closed = np.zeros(len(edge), dtype=bool)
    closed[network.wire_edge[fused]] = True
    region = groups(edge[~closed & (edge < free).all(axis=1)], free)
    flow = solve_constant(network, nameplate_a(network.law)).wire_a[0]
    ohm = 1 / network.edge_s
    for wire, at in zip(house.wires, network.wire_edge, strict=True):
        if wire.fuse_a is not None:
            ohm[at] += fuses().cold_ohm(wire.fuse_a) or 0.0
    return tuple(
        _far_short(network, int(at), flow[w] >= 0, region, closed, ohm) if fused[w] else None
        for w, at in enumerate(network.wire_edge)
    )


def _far_short(
    network: Network,
    mine: int,
    forward: bool,
    region: np.ndarray,
    closed: np.ndarray,
    ohm: np.ndarray,
) -> Short | None:
    """The worst short behind the fused edge `mine`; current flows along it if `forward`."""
    from scipy.sparse import coo_array
    from scipy.sparse.linalg import splu

    edge, free = network.edge, network.free
    behind = edge[mine, 1 if forward else 0]
    if behind >= free:
        return None
    inside = np.zeros(network.nodes, dtype=bool)
    inside[:free] = region == region[behind]
    other_feeds = closed & inside[edge].any(axis=1)
    other_feeds[mine] = False
    crossing = edge[(closed | (edge >= free).any(axis=1)) & ~other_feeds]
    here = _on_the_way(crossing, region, int(region[behind]), network.nodes)[edge].all(axis=1)
    here &= ~other_feeds
    together = groups(edge[here], network.nodes)
    if together[behind] not in together[free:]:
        return None
    here &= together[edge[:, 0]] == together[behind]

    # Numbered anew: free nodes that are left, then the supplies.
    node = np.unique(edge[here])
    node = node[node < free]
    number = np.full(network.nodes, -1)
    number[node] = np.arange(len(node))
    number[free:] = len(node) + np.arange(network.nodes - free)
    a, b = number[edge[here]].T
    g = 1 / ohm[here]
    size = len(node) + network.nodes - free
    full = coo_array((np.r_[g, g, -g, -g], (np.r_[a, b, a, b], np.r_[a, b, b, a])), (size, size))
    matrix = full.tocsc()
    solved = splu(matrix[: len(node), : len(node)].tocsc())
    candidates = number[np.flatnonzero(inside)]
    seen_ohm = np.concatenate(
        [
            _own_response(solved, part, len(node))
            for part in np.array_split(candidates, -(-len(candidates) // _AT_A_TIME))
        ]
    )
    worst = candidates[seen_ohm.argmax()]
    one = np.zeros(len(node))
    one[worst] = 1.0
    open_v = solved.solve(-(matrix[: len(node), len(node) :] @ network.fixed_v))
    shorted_v = open_v - solved.solve(one) * (open_v[worst] / seen_ohm.max())
    start, end = np.concatenate([shorted_v, network.fixed_v])[number[edge[mine]]]
    feeding = np.unique(edge[here & (edge >= free).any(axis=1)])
    rated_a = sum(network.house.supplies[s].rated_a for s in feeding[feeding >= free] - free)
    return Short(float(abs(start - end) / ohm[mine]), network.place(int(node[worst])), rated_a)


def _on_the_way(crossing: np.ndarray, region: np.ndarray, mine: int, nodes: int) -> np.ndarray:
    """(nodes,) bool: what may carry current to a short in region `mine`.

    Regions meet at `crossing` edges (n, 2); each supply is a region by itself. One that touches
    the others at a single node is a dead end, and what only hung on dead ends is one then.
    """
    free = len(region)
    label = np.concatenate([region, region.max() + 1 + np.arange(nodes - free)])
    ends = [(a, b, label[a], label[b]) for a, b in crossing.tolist()]
    alive = {mine, *(label[a] for a in range(free, nodes))}
    alive |= {at for _, _, left, right in ends for at in (left, right)}
    while True:
        outside: dict[int, set[int]] = {at: set() for at in alive}
        for a, b, left, right in ends:
            if left in alive and right in alive:
                outside[left].add(b)
                outside[right].add(a)
        dead = {at for at, touched in outside.items() if len(touched) < 2 and at <= region.max()}
        dead.discard(mine)
        if not dead:
            return np.isin(label, list(alive))
        alive -= dead


def _own_response(solved, at: np.ndarray, size: int) -> np.ndarray:  # type: ignore[no-untyped-def]
    """[Ω] that each node `at` sees: the volts that 1 A taken out there costs there."""
    unit = np.zeros((size, len(at)))
    unit[at, np.arange(len(at))] = 1.0
    return solved.solve(unit)[at, np.arange(len(at))]


def short_findings(network: Network, shorts: tuple[Short | None, ...]) -> tuple[Finding, ...]:
    """Fuses that a far short does not open: `far-short`, and `supply-limits-short`."""
    fused = [
        (wire, wire.fuse_a, short)
        for wire, short in zip(network.house.wires, shorts, strict=True)
        if short and wire.fuse_a
    ]
    closed = [item for item in fused if not item[2].opens(item[1])]
    weak = [
        item
        for item in fused
        if item[2].opens(item[1]) and SURE * item[2].rated_a < OPENS * item[1]
    ]
    return (*_closed(closed), *_weak(weak))


def _closed(found: list[tuple[Wire, float, Short]]) -> Iterator[Finding]:
    """Too much resistance: the fuses concerned, worst first, in one finding."""
    if not found:
        return
    found.sort(key=lambda item: item[2].amps / item[1])
    wire, fuse_a, short = found[0]
    how = "may never open" if short.amps < HOLDS * fuse_a else "may take minutes to open"
    count = "1 fuse does" if len(found) == 1 else f"{len(found)} fuses do"
    text = (
        f"{count} not open on a short at the far end of what they protect. Worst: with the other "
        f"feeds open, a short at {short.where} draws {short.amps:.1f} A through the fuse of "
        f"{fuse_a:g} A in {wire.label}, which {how} ({OPENS * fuse_a:g} A open it within seconds) "
        "while the strip heats up. Use smaller fuses or thicker wire, or cut the + between feeds "
        "so that each fuse protects less"
    )
    yield Finding("warning", "far-short", ", ".join(wire.label for wire, _, _ in found), text)


def _weak(found: list[tuple[Wire, float, Short]]) -> Iterator[Finding]:
    """Little enough resistance, but a supply that gives up before the fuse does."""
    if not found:
        return
    wire, fuse_a, short = max(found, key=lambda item: item[1] / item[2].rated_a)
    text = (
        f"a supply of {short.rated_a:g} A may limit itself at {SURE:.0%} of that, too little to "
        f"open the fuse of {fuse_a:g} A in {wire.label} within seconds ({OPENS * fuse_a:g} A); a "
        "short is then up to the supply's own protection. Prefer a fuse of at most "
        f"{SURE * short.rated_a / OPENS:.2g} A, and more feeds"
    )
    names = ", ".join(wire.label for wire, _, _ in found)
    yield Finding("note", "supply-limits-short", names, text)
