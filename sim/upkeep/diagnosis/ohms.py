"""Ohms between + and − with everything unplugged: where + and − touch, though all there is dark.

One ampere from a supply held below 1 V, and the volts it takes: chips draw nothing there, so only
copper and the short remain. On the way to the short ohms fall by the loop of the rails, some mΩ
a pixel; beyond it they stay. The resistance r of a short is not known: what is read at a point is
a − b² / (c + r), with a, b and c of the copper alone (Sherman and Morrison 1950), so that one
solution of the copper serves every r.

F causes, P points.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import splu

from layouts.sightings import Sighting
from sim.circuit.build import Network
from sim.upkeep.faults_circuit import short_node, short_ohm

from .causes import Breakage
from .points import node_of
from .predicted import Predicted, change_of

#: [Ω] from which on a reading is no short; [S] that ties every loose node to the ground.
OVER_OHM, _TIE_S = 20.0, 1e-6
#: What one degree of a short stands for on either side, as a logarithm: of many, and of few.
_FINE, _COARSE, _STEPS = 0.38, 0.6, 41
#: [Ω] over which readings of something else may lie.
_SPAN_OHM = 5.0

#: Conductors that differ, other shorts, and which fuses are open.
_Circuit = tuple[tuple[tuple[int, float, float], ...], tuple[tuple[int, float], ...], bytes]


@dataclass(frozen=True, eq=False)
class Copper:
    """What a short of r ohms reads at the points: a − b² / (c + r)."""

    a: np.ndarray  # (F, P) [Ω]
    b: np.ndarray  # (F, P) [Ω]
    c: np.ndarray  # (F,) [Ω]
    ohm: np.ndarray  # (F,) [Ω] of the short; nan where there is none
    half: np.ndarray  # (F,) how far, as a logarithm, the degree reaches

    def read(self, ohm: np.ndarray) -> np.ndarray:
        """(F, P, …) [Ω] while the shorts have `ohm` (F, …); `OVER_OHM` at most."""
        more = ohm.ndim - 1
        wide = (..., *(None,) * more)
        drop = self.b[wide] ** 2 / (self.c[(slice(None), None, *(None,) * more)] + ohm[:, None])
        return np.minimum(np.nan_to_num(self.a[wide] - drop, nan=OVER_OHM), OVER_OHM)


def copper(
    net: Network, causes: Sequence[Breakage], there: Predicted, nodes: Sequence[int]
) -> Copper:
    """The copper of every cause seen from `nodes` (P,), fuses as each cause leaves them."""
    shape = len(causes), len(nodes)
    a, b, c = np.full(shape, np.inf), np.zeros(shape), np.ones(len(causes))
    ohm, half = np.full(len(causes), np.nan), np.full(len(causes), _COARSE)
    alike: dict[_Circuit, list[int]] = {}
    for f, cause in enumerate(causes):
        shorts = [fault for fault in cause.faults if fault.kind == "short"]
        if not shorts:
            continue
        ohm[f] = short_ohm(shorts[0])
        half[f] = _FINE if cause.fine else _COARSE
        change = change_of(net, net.values, cause.faults)
        alike.setdefault((change.edges, change.shorts[1:], there.opened[f].tobytes()), []).append(f)
    for (edges, more, _), mine in alike.items():
        at = [
            short_node(net, next(fault for fault in causes[f].faults if fault.kind == "short"))
            for f in mine
        ]
        places = np.unique(at)
        found = _between(net, edges, more, there.opened[mine[0]], np.array([*nodes, *places]))
        number = len(nodes) + np.searchsorted(places, at)
        a[mine] = np.diag(found)[: len(nodes)]
        b[mine] = found[number, : len(nodes)]
        c[mine] = found[number, number]
    return Copper(a, b, c, ohm, half)


def _between(
    net: Network,
    edges: Sequence[tuple[int, float, float]],
    shorts: Sequence[tuple[int, float]],
    opened: np.ndarray,
    nodes: np.ndarray,
) -> np.ndarray:
    """(K, K) [Ω] volts between + and − at each of `nodes` for an ampere through each."""
    plus, minus = net.values.plus_s.copy(), net.values.minus_s.copy()
    for edge, p, m in edges:
        plus[edge], minus[edge] = p, m
    plus[net.wire_edge[opened]] = 0.0
    count = net.nodes
    ends = np.concatenate([net.edge, net.edge + count, [(n, n + count) for n, _ in shorts] or
                           np.zeros((0, 2), dtype=np.int64)])  # fmt: skip
    s = np.concatenate([plus, minus, [each for _, each in shorts]])
    i, j = ends.T
    own = np.arange(2 * count)
    matrix = coo_matrix(
        (
            np.concatenate([s, s, -s, -s, np.full(2 * count, _TIE_S)]),
            (np.concatenate([i, j, i, j, own]), np.concatenate([i, j, j, i, own])),
        ),
        shape=(2 * count, 2 * count),
    ).tocsc()
    push = np.zeros((2 * count, len(nodes)))
    push[nodes, np.arange(len(nodes))] = 1.0
    push[nodes + count, np.arange(len(nodes))] = -1.0
    volts = splu(matrix).solve(push)
    return np.asarray(volts[nodes] - volts[nodes + count])


def sigma_ohm(ohm: np.ndarray, errors: Mapping[str, float]) -> np.ndarray:
    """[Ω] of a reading."""
    return errors["ohms-share"] * ohm + errors["ohms"]


def fitted(
    net: Network,
    causes: Sequence[Breakage],
    there: Predicted,
    seen: Sequence[Sighting],
    errors: Mapping[str, float],
) -> tuple[np.ndarray, np.ndarray]:
    """(F,) logarithm of the likelihood of all readings of ohms together, and (F,) [Ω] that fits."""
    mine = [each for each in seen if each.what == "ohms" and each.value is not None]
    nodes = [node_of(net.topology, net.house, each.at) for each in mine]
    made = copper(net, causes, there, nodes)
    grid = made.ohm[:, None] * np.exp(made.half[:, None] * np.linspace(-1, 1, _STEPS))
    expected = made.read(grid)  # (F, P, steps)
    other, total = errors["reading"], np.zeros_like(grid)
    for k, each in enumerate(mine):
        here, value = expected[:, k], float(each.value or 0.0)
        over = here >= OVER_OHM
        if value >= OVER_OHM:
            total += np.log(np.where(over, 1 - other, other))
            continue
        sigma = sigma_ohm(here, errors)
        right = np.exp(-0.5 * ((value - here) / sigma) ** 2) / (np.sqrt(2 * np.pi) * sigma)
        total += np.log((1 - other) * np.where(over, 0.0, right) + other / _SPAN_OHM)
    most = total.max(axis=1)
    whole = most + np.log(np.exp(total - most[:, None]).mean(axis=1))
    return whole, grid[np.arange(len(grid)), total.argmax(axis=1)] if mine else made.ohm


def read_now(
    net: Network,
    causes: Sequence[Breakage],
    there: Predicted,
    nodes: Sequence[int],
    seen: Sequence[Sighting],
    errors: Mapping[str, float],
) -> np.ndarray:
    """(F, P) [Ω] what would be read at `nodes`, shorts as bad as was read already."""
    _, ohm = fitted(net, causes, there, seen, errors)
    return copper(net, causes, there, nodes).read(ohm)
