"""The circuit without its pixels, small: rails between two points are one resistor each.

Where pixels draw nothing, a stretch of rail between two points at which something is fixed carries
one current. So a house of many thousand pixels has a few hundred points. A place between two
points is told by how far it is from either, in + and in −.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from .build import Network
from .together import groups

if TYPE_CHECKING:
    from scipy.sparse.linalg import SuperLU

#: [S] from each island of conductors to a common 0 V; nothing flows through it.
_TIE_S = 1.0
#: Up to so many unknowns zeros cost less than importing what leaves them out.
_FEW = 200


@dataclass(frozen=True, eq=False)
class Dense:
    """Equations of which every coefficient is written down."""

    matrix: np.ndarray  # (U, U)

    def solve(self, given: np.ndarray) -> np.ndarray:
        """(U,) or (U, K) for the right-hand sides `given`."""
        return np.linalg.solve(self.matrix, given)


@dataclass(frozen=True, eq=False)
class Segments:
    """P points, E − F edges less (a segment is numbered as its first edge), M + S nodes.

    + of point i is unknown `plus[i]`, its − is P + i. At an ideal supply both are one unknown, over
    which + stands `lift_v` higher.
    """

    points: int  # P
    number: np.ndarray  # (M + S,) of nodes that are points, else −1
    ends: np.ndarray  # (G, 2) points of each segment
    plus_s: np.ndarray  # (G,) [S]
    minus_s: np.ndarray  # (G,)
    of_edge: np.ndarray  # (E,) the segment that an edge lies in
    near: np.ndarray  # (M + S, 2) the points between which a node lies; twice the same for a point
    along: np.ndarray  # (M + S, 2) 0..1 how far towards the second, by Ω of + and of −
    inner_ohm: np.ndarray  # (M + S,) [Ω] what a node has to itself between its points held at 0 V
    plus: np.ndarray  # (P,) unknown of the + of each point
    lift_v: np.ndarray  # (P,) [V]
    sources: np.ndarray  # (Q, 3) point of a supply's terminals, [S] and [V] behind them

    @cached_property
    def solved(self) -> SuperLU | Dense:
        """The conductances between all unknowns, factored; islands are tied to 0 V."""
        a, b, g = self._branches
        size = 2 * self.points
        island = groups(np.stack([a, b], axis=1)[g > 0], size)
        tied = np.unique(island, return_index=True)[1]
        at = (np.r_[a, b, a, b, tied], np.r_[a, b, b, a, tied])
        entries = np.r_[g, g, -g, -g, np.full(len(tied), _TIE_S)]
        if size <= _FEW:
            filled = np.zeros((size, size))
            np.add.at(filled, at, entries)
            return Dense(filled)
        from scipy.sparse import coo_array
        from scipy.sparse.linalg import splu

        return splu(coo_array((entries, at), (size, size)).tocsc())

    @cached_property
    def open_v(self) -> tuple[np.ndarray, np.ndarray]:
        """(P,) [V] of + and of − of every point while nothing draws."""
        a, b = self.ends.T
        flow = self.plus_s * (self.lift_v[b] - self.lift_v[a])
        given = np.zeros(2 * self.points)
        np.add.at(given, self.plus[a], flow)
        np.subtract.at(given, self.plus[b], flow)
        at = self.sources[:, 0].astype(np.int64)
        pushed = self.sources[:, 1] * self.sources[:, 2]
        np.add.at(given, self.plus[at], pushed)
        np.subtract.at(given, self.points + at, pushed)
        found = self.solved.solve(given)
        return found[self.plus] + self.lift_v, found[self.points :]

    @property
    def _branches(self) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
        """Unknowns that a conductance [S] joins."""
        a, b = self.ends.T
        at = self.sources[:, 0].astype(np.int64)
        return (
            np.r_[self.plus[a], self.points + a, self.plus[at]],
            np.r_[self.plus[b], self.points + b, self.points + at],
            np.r_[self.plus_s, self.minus_s, self.sources[:, 1]],
        )


def segments(network: Network) -> Segments:
    """The network without its pixels."""
    net, plus_s, minus_s = network.topology, network.values.plus_s, network.values.minus_s
    rails, nodes = net.first_pad, net.nodes
    a, b = net.edge[:rails].T
    broken = (plus_s[:rails] == 0) | (minus_s[:rails] == 0)
    point = np.zeros(nodes, dtype=bool)
    point[net.free :] = True
    point[net.edge[rails:]] = True
    point[net.edge[:rails][broken]] = True
    for run in network.house.runs:
        point[[run.first, run.first + run.count - 1]] = True
    number = np.where(point, np.cumsum(point) - 1, -1)
    begins = point[a]
    piece = np.cumsum(begins) - 1
    first = np.flatnonzero(begins)
    last = np.r_[first[1:], rails][: len(first)] - 1
    other = np.arange(rails, net.first_source)
    ends = np.concatenate([np.stack([a[first], b[last]], axis=1), net.edge[other]])
    place = np.repeat(np.arange(nodes)[:, None], 2, axis=1)
    along, inner, made = np.zeros((nodes, 2)), np.zeros(nodes), []
    within = ~point[b]  # the rails whose second pixel is no point
    place[b[within]] = ends[piece[within]]
    for side, siemens in enumerate((plus_s, minus_s)):
        ohm = 1 / np.where(siemens[:rails] > 0, siemens[:rails], np.inf)
        so_far = np.cumsum(ohm)
        whole = np.diff(so_far[last], prepend=0.0) if len(first) else np.zeros(0)
        share = (so_far - (so_far[last] - whole)[piece])[within] / whole[piece[within]]
        along[b[within], side] = share
        inner[b[within]] += whole[piece[within]] * share * (1 - share)
        bridged = 1 / np.where(broken[first], np.inf, whole)
        bridged[broken[first]] = siemens[first[broken[first]]]
        made.append(np.concatenate([bridged, siemens[other]]))
    count = int(point.sum())
    numbered = number[place]
    behind = net.edge[net.first_source :]
    own = np.arange(count)
    ideal = number[np.setdiff1d(np.arange(net.free, nodes), behind)]
    lift = np.zeros(count)
    lift[number[net.free :]] = network.fixed_v
    lift[np.setdiff1d(own, ideal)] = 0.0
    at = np.arange(net.first_source, len(net.edge))
    return Segments(
        points=count,
        number=number,
        ends=number[ends],
        plus_s=made[0],
        minus_s=made[1],
        of_edge=np.concatenate([piece, len(first) + other - rails, np.full(len(at), -1)]),
        near=numbered,
        along=along,
        inner_ohm=inner,
        plus=np.where(np.isin(own, ideal), count + own, own),
        lift_v=lift,
        sources=np.stack(
            [number[behind[:, 1]], network.edge_s[at], network.fixed_v[net.source_of]], axis=1
        ).reshape(-1, 3),
    )
