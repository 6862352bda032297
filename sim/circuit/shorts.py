"""Does the fuse of a wire open when its far end is shorted?

A fuse protects its wire and all that hangs on it until the next fuse. The worst place for a dead
short is where the fewest amperes flow through the fuse: the point with the most resistance behind
it. Every other fuse that feeds the same part is taken to be open already, since it may be the one
nearer to the short. Pixels are left out: they draw nothing where the voltage has collapsed. The
resistance of the supply counts where the house file gives it, that of the fuses where the
catalogue has it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts import fuses
from layouts.finding import Finding

from .build import Network, groups
from .law import nameplate_a
from .solve import solve_constant

#: A fuse opens within seconds at this multiple of its rating (0.15-5 s, ATO data sheet, 2nd hand).
OPENS = 2.0
#: Up to this multiple it holds for 100 hours (ATO data sheet, from memory).
HOLDS = 1.1
#: Unit currents solved for at a time.
_AT_A_TIME = 256


@dataclass(frozen=True)
class Short:
    """The worst far short behind the fuse of one wire."""

    amps: float  # through the fuse
    where: str  # the place of the short

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
    kept = edge[~other_feeds]
    siemens = 1 / ohm[~other_feeds]

    # Only what hangs together with the short matters; the rest would make the matrix singular.
    together = groups(kept[(kept < free).all(axis=1)], free)
    node = np.flatnonzero(together == together[behind])
    number = np.full(network.nodes, -1)
    number[node] = np.arange(len(node))
    number[free:] = len(node) + np.arange(network.nodes - free)
    here = (number[kept] >= 0).all(axis=1)
    a, b = number[kept[here]].T
    g = siemens[here]
    size = len(node) + network.nodes - free
    full = coo_array((np.r_[g, g, -g, -g], (np.r_[a, b, a, b], np.r_[a, b, b, a])), (size, size))
    matrix = full.tocsc()
    push = -(matrix[: len(node), len(node) :] @ network.fixed_v)
    if not push.any():
        return None
    solved = splu(matrix[: len(node), : len(node)].tocsc())
    candidates = number[np.flatnonzero(inside)]
    behind_ohm = np.concatenate(
        [
            _own_response(solved, part, len(node))
            for part in np.array_split(candidates, -(-len(candidates) // _AT_A_TIME))
        ]
    )
    worst = candidates[behind_ohm.argmax()]
    one = np.zeros(len(node))
    one[worst] = 1.0
    open_v = solved.solve(push)
    shorted_v = open_v - solved.solve(one) * (open_v[worst] / behind_ohm.max())
    volts = np.concatenate([shorted_v, network.fixed_v])
    start, end = number[edge[mine]]
    amps = abs(volts[start] - volts[end]) / ohm[mine]
    return Short(float(amps), network.place(int(node[worst])))


def _own_response(solved, at: np.ndarray, size: int) -> np.ndarray:  # type: ignore[no-untyped-def]
    """[Ω] that each node `at` sees: the volts that 1 A taken out there costs there."""
    unit = np.zeros((size, len(at)))
    unit[at, np.arange(len(at))] = 1.0
    return solved.solve(unit)[at, np.arange(len(at))]


def short_findings(network: Network, shorts: tuple[Short | None, ...]) -> tuple[Finding, ...]:
    """The fuses that a far short does not open, worst first in one finding, code `far-short`."""
    found = [
        (short.amps / wire.fuse_a, wire, short)
        for wire, short in zip(network.house.wires, shorts, strict=True)
        if short and wire.fuse_a and not short.opens(wire.fuse_a)
    ]
    if not found:
        return ()
    found.sort(key=lambda item: item[0])
    times, wire, short = found[0]
    fuse_a = wire.fuse_a or 0.0
    how = "may never open" if times < HOLDS else "may take minutes to open"
    count = "1 fuse does" if len(found) == 1 else f"{len(found)} fuses do"
    text = (
        f"{count} not open on a short at the far end of what they protect. Worst: with the other "
        f"feeds open, a short at {short.where} draws {short.amps:.1f} A through the fuse of "
        f"{fuse_a:g} A in {wire.label}, which {how} ({OPENS * fuse_a:g} A open it within seconds) "
        "while the strip heats up. Use smaller fuses or thicker wire, or cut the + between feeds "
        "so that each fuse protects less"
    )
    return (Finding("warning", "far-short", ", ".join(wire.label for _, wire, _ in found), text),)
