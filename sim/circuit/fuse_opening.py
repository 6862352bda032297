"""Does the fuse of a wire open when its far end is shorted?

A fuse protects its wire and all that hangs on the + of it until the next fuse or cut. Every point
of that is shorted in turn; what counts is the point from which the fewest amperes come through the
fuse.

Where several fuses feed that point, all are closed at first and share the current. They are then
taken to open one after another, the one most loaded for its rating first, until nothing flows; a
fuse has to open at what it carries when its turn comes. The first turns are those in which others
share, the last is that of a fuse left alone with the longest way to the short. A fuse opens + only:
the − of its wire still carries back what others send. A feed without a fuse stays connected all the
time, and fuses further up are taken to hold.

Pixels are left out: they draw nothing where the voltage has collapsed. The resistance of the
supply counts where the house file gives it, its own protection does not: the amperes are those
of resistance alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

import numpy as np

from layouts.kept_with import kept_with_first

from .build import Network
from .law import nameplate_a
from .segments import Segments, segments
from .short_circuit import NOTHING_A, Progress, across_ohm, amps_in_turn, ports
from .solve import solve_constant
from .together import groups

#: A fuse opens within seconds at this multiple of its rating (0.15-5 s, ATO data sheet, 2nd hand).
OPENS = 2.0
#: Numbers of places × fuses held at once (32 MB), and the fewest places that are worth a start.
_MOST_NUMBERS, _FEWEST = 4_000_000, 500


@dataclass(frozen=True)
class Short:
    """The worst far short behind the fuse of one wire."""

    amps: float  # through the fuse; a supply that limits itself gives less
    where: str  # the place of the short
    rated_a: float  # of the supplies that feed it through the fuse

    def opens(self, fuse_a: float) -> bool:
        """Whether the fuse opens within seconds."""
        return self.amps >= OPENS * fuse_a


Shorts = tuple[Short | None, ...]


def far_shorts(network: Network, progress: Progress | None = None) -> Shorts:
    """One a wire, in the house's order; None where it has no fuse or no current can flow.

    `progress(done, total)` counts places of fuses: with a thousand feeds in one stretch it may
    take minutes. They are found once for a network.
    """
    kept = _kept(network)
    if not kept:
        kept.append(_found(network, progress))
    return kept[0]


@kept_with_first
def _kept(_network: Network) -> list[Shorts]:
    """What was found; a progress is no part of what was asked."""
    return []


def _found(network: Network, progress: Progress | None) -> Shorts:
    wires = network.house.wires
    found: list[Short | None] = [None] * len(wires)
    conducts = network.values.plus_s[network.wire_edge] > 0
    fused = [w for w, wire in enumerate(wires) if wire.fuse_a is not None and conducts[w]]
    if not fused or not len(network.fixed_v):
        return tuple(found)
    flow = solve_constant(network, nameplate_a(network.law)).wire_a[0]
    edges = network.wire_edge[fused]
    # From the side of the supply to what lies behind the fuse.
    ends = np.where(flow[fused, None] >= 0, network.edge[edges], network.edge[edges][:, ::-1])
    small = segments(network)
    rated_a = np.array([wires[w].fuse_a for w in fused])
    work = []
    for nodes, feeds, behind in _stretches(network, edges, ends):
        live = nodes[_live(network, nodes)]
        if behind.any() and len(live):
            at_once = max(_FEWEST, _MOST_NUMBERS // len(feeds))
            pieces = [live[k : k + at_once] for k in range(0, len(live), at_once)]
            work.append((feeds, behind, pieces))
    done, total = 0, sum(len(feeds) * len(live) for feeds, _, pieces in work for live in pieces)
    for feeds, behind, pieces in work:
        worst_a, worst = np.full(len(feeds), np.inf), np.zeros(len(feeds), dtype=np.int64)
        of_feeds = small.of_edge[edges[feeds]], small.number[ends[feeds]]
        across = across_ohm(small, of_feeds[1])
        for live in pieces:
            there = ports(small, *of_feeds, live, across)
            told = progress and partial(_told, progress, done, total, len(feeds))
            amps = amps_in_turn(there, rated_a[feeds], told)
            # A place that the fuse does not feed is not behind it.
            amps = np.where(amps > NOTHING_A, amps, np.inf)
            least = amps.argmin(axis=1)
            here_a = amps[np.arange(len(feeds)), least]
            less = here_a < worst_a
            worst_a[less], worst[less] = here_a[less], live[least[less]]
            done += len(feeds) * len(live)
        reached = _reached(network, small, edges[feeds])
        for f in np.flatnonzero(behind & np.isfinite(worst_a)):
            near = small.number[ends[feeds[f], 0]]
            found[fused[feeds[f]]] = Short(
                float(worst_a[f]), network.place(int(worst[f])), reached(int(near))
            )
    return tuple(found)


def _told(
    progress: Progress, before: int, total: int, feeds: int, done: float, _all: float
) -> None:
    """What is done of all places of all fuses, from what is done of some places."""
    progress(before + feeds * done, total)


def _live(network: Network, nodes: np.ndarray) -> np.ndarray:
    """(K,) bool: a supply reaches + and − of the node."""
    return network.reach.node[nodes]


def _stretches(
    network: Network, fused: np.ndarray, ends: np.ndarray
) -> Iterator[tuple[np.ndarray, np.ndarray, np.ndarray]]:
    """The free nodes whose + hangs together without an edge of `fused` (F,) between.

    With each stretch the fuses with an end in it, and bool whether it lies behind them; `ends`
    (F, 2) are nodes before and behind each fuse. The terminals of supplies lie before every fuse
    and belong to none.
    """
    edge, free = network.edge, network.free
    terminal = np.zeros(network.nodes, dtype=bool)
    terminal[edge[network.first_source_edge :]] = True
    plain = (edge < free).all(axis=1) & ~terminal[edge].any(axis=1) & (network.values.plus_s > 0)
    plain[fused] = False
    label = np.full(network.nodes, -1)
    label[:free] = groups(edge[plain], free)
    label[terminal] = -1
    before, behind = label[ends].T
    order = np.argsort(label[:free], kind="stable")
    begin = np.searchsorted(label[order], np.arange(label.max(initial=-1) + 2))
    for number in np.unique(behind[behind >= 0]):
        feeds = np.flatnonzero((before == number) | (behind == number))
        yield order[begin[number] : begin[number + 1]], feeds, behind[feeds] == number


def _reached(network: Network, small: Segments, feeds: np.ndarray):  # type: ignore[no-untyped-def]
    """A function from a point to the [A] of the supplies that reach its + by other ways than the
    edges `feeds`; of all that the house has there where none does."""
    conducts = small.plus_s > 0
    whole = groups(small.ends[conducts], small.points)
    conducts[small.of_edge[feeds]] = False
    others = groups(small.ends[conducts], small.points)
    net = network.topology
    at = small.number[net.free :].copy()
    at[net.source_of] = small.number[net.edge[net.first_source :, 1]]
    rated = np.array([supply.rated_a for supply in network.house.supplies])

    def amps(point: int) -> float:
        hit = others[at] == others[point]
        if not hit.any():
            hit = whole[at] == whole[point]
        return float(rated[hit].sum())

    return amps
