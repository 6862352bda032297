"""The equations of a circuit: its unknowns, and where each conductance stands in them.

At a node let v = V₊ − V₋ and u = V₊ + V₋. With conductances g₊ and g₋ of its conductors, an edge
from a to b loses ½g₊(Δ(u+v)/2)² + ½g₋(Δ(u−v)/2)² watts times one half, that is

    ½·s·Δv² + ½·s·Δu² + c·Δu·Δv      s = (g₊ + g₋)/4,  c = (g₊ − g₋)/4

so v and u are two networks of the same shape that touch only at edges whose conductors differ.
Pixels and supplies act on v alone. Where no ring goes over a differing edge, + and − carry the
same current over it whatever u is, and Δu drops out: one loop conductance g₊g₋/(g₊ + g₋) in v is
exact, and u is no unknown at all. That is the *fold*. It is decided for each biconnected part of
the wiring: the others have u as unknowns, where differing edges end; between those, chains of
edges whose conductors are alike are summed to one, since nothing acts on u along them.

u is counted in each part from one of its nodes, an ideal supply's terminal if it has one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .order import Elimination, eliminations


@dataclass(frozen=True, eq=False)
class Form:
    """E edges; columns: M + S nodes' v, then U unknowns u, then one that is always 0."""

    cross: np.ndarray  # (E,) bool: edges in rings whose conductors may differ
    dual: np.ndarray  # (E,) bool: edges of parts that have u
    chain: np.ndarray  # (D,) which chain each dual edge belongs to, in the order of flatnonzero
    edge_u: np.ndarray  # (E, 2) columns of u between which the edge's Δu is a share
    chain_u: np.ndarray  # (K, 2) the same columns of each chain
    columns: int  # M + S + U + 1
    ground: tuple[int, ...]  # nodes from which u is counted, part by part
    coefficients: Coefficients
    parts: tuple[Elimination, ...]  # positions are columns

    @staticmethod
    def of(edge: np.ndarray, free: int, nodes: int, ring: np.ndarray, cross: np.ndarray) -> Form:
        """The form in which conductors of the edges `cross` (E,) bool, all in rings, may differ."""
        dual = np.isin(ring, np.unique(ring[cross])) & (ring >= 0)
        chains = _Chains(edge, ring, cross, dual, free, nodes)
        columns = nodes + len(chains.column) + 1
        return Form(
            cross=cross,
            dual=dual,
            chain=chains.chain,
            edge_u=chains.edge_u,
            chain_u=chains.ends,
            columns=columns,
            ground=chains.ground,
            coefficients=(made := _coefficients(edge, free, nodes, cross, chains, columns))[0],
            parts=made[1],
        )


@dataclass(frozen=True, eq=False)
class Coefficients:
    """Where conductances stand. `source` counts through s of E edges in v, s of K chains in u, c
    of the cross edges."""

    diagonal: np.ndarray  # (A,) column whose diagonal gains the conductance
    diagonal_source: np.ndarray
    entry: np.ndarray  # (B,) entry below the diagonal, through all parts
    entry_source: np.ndarray
    entry_sign: np.ndarray
    pushed: np.ndarray  # (C,) column that a fixed voltage pushes current into
    pushing: np.ndarray  # (C,) the supply that does
    push_source: np.ndarray
    push_sign: np.ndarray
    entries: int


class _Chains:
    """The unknowns u of all dual parts."""

    def __init__(
        self,
        edge: np.ndarray,
        ring: np.ndarray,
        cross: np.ndarray,
        dual: np.ndarray,
        free: int,
        nodes: int,
    ):
        self.column: dict[tuple[int, int], int] = {}
        self.zero = -1
        edge_u = np.full((len(edge), 2), -1)
        at = np.flatnonzero(dual)
        number = np.full(len(edge), -1)
        ends: list[tuple[int, int]] = []
        ground: list[int] = []
        for part in np.unique(ring[at]):
            mine = at[ring[at] == part]
            touched, degree = np.unique(edge[mine], return_counts=True)
            keep = set(touched[degree != 2].tolist()) | set(
                edge[mine[cross[mine]]].ravel().tolist()
            )
            ideal = touched[touched >= free]
            zero = int(ideal[0]) if len(ideal) else min(keep)
            keep.add(zero)
            ground.append(zero)
            for path in _paths(edge, mine, cross, keep):
                for e, _ in path:
                    number[e] = len(ends)
                first, last = _ends_of(edge, path)
                pair = tuple(
                    -1
                    if node == zero
                    else self.column.setdefault((int(part), node), nodes + len(self.column))
                    for node in (first, last)
                )
                for e, turned in path:
                    edge_u[e] = pair[::-1] if turned else pair
                ends.append((pair[0], pair[1]))
        zero_column = nodes + len(self.column)
        self.edge_u = np.where(edge_u < 0, zero_column, edge_u)
        made = np.array(ends, dtype=np.int64).reshape(-1, 2)
        self.ends = np.where(made < 0, zero_column, made)
        self.chain = number[at]
        self.ground = tuple(ground)


def _paths(
    edge: np.ndarray, mine: np.ndarray, cross: np.ndarray, keep: set[int]
) -> list[list[tuple[int, bool]]]:
    """The edges `mine` as paths between nodes of `keep`: (edge, passed from its end to its start).

    Every cross edge is a path of its own, since both its nodes are kept.
    """
    near: dict[int, list[tuple[int, int, bool]]] = {}
    for e, (a, b) in zip(mine.tolist(), edge[mine].tolist(), strict=True):
        near.setdefault(a, []).append((b, e, False))
        near.setdefault(b, []).append((a, e, True))
    done: set[int] = set()
    paths = []
    for start in sorted(keep & near.keys()):
        for node, e, turned in near[start]:
            if e in done:
                continue
            done.add(e)
            path = [(e, turned)]
            while node not in keep:
                node, e, turned = next(way for way in near[node] if way[1] not in done)
                done.add(e)
                path.append((e, turned))
            paths.append(path)
    return paths


def _ends_of(edge: np.ndarray, path: list[tuple[int, bool]]) -> tuple[int, int]:
    """The nodes where a path begins and ends."""
    (first, turned), (last, back) = path[0], path[-1]
    return int(edge[first, int(turned)]), int(edge[last, int(not back)])


def _coefficients(
    edge: np.ndarray, free: int, nodes: int, cross: np.ndarray, chains: _Chains, columns: int
) -> tuple[Coefficients, tuple[Elimination, ...]]:
    """Every conductance's places, and the elimination order that follows from them."""
    ends = chains.ends
    at = np.flatnonzero(cross)
    (va, vb), (ua, ub) = edge[at].T, chains.edge_u[at].T
    both = np.concatenate([edge, ends])
    source = np.arange(len(both))
    c = len(both) + np.arange(len(at))
    # Every pair of columns with the conductance between them; −s between ends of an edge or chain.
    pair = np.concatenate(
        [both, *(np.stack(two, axis=1) for two in ((ua, va), (ub, vb), (ua, vb), (ub, va)))]
    )
    src = np.concatenate([source, c, c, c, c])
    plus, minus = np.ones(len(at)), -np.ones(len(at))
    sign = np.concatenate([-np.ones(len(both)), plus, plus, minus, minus])

    unknown = np.ones(columns, dtype=bool)
    unknown[free:nodes] = False
    unknown[-1] = False
    diagonal = both.ravel()
    diagonal_source = np.repeat(source, 2)
    loop = both[:, 0] == both[:, 1]
    used = unknown[diagonal] & ~np.repeat(loop, 2)
    inner = unknown[pair].all(axis=1) & (pair[:, 0] != pair[:, 1])
    pushed, pushing, push_source, push_sign = [], [], [], []
    for near, far in ((0, 1), (1, 0)):
        fed = unknown[pair[:, near]] & (pair[:, far] >= free) & (pair[:, far] < nodes)
        pushed.append(pair[fed, near])
        pushing.append(pair[fed, far] - free)
        push_source.append(src[fed])
        push_sign.append(-sign[fed])
    parts, entry = eliminations(pair[inner], unknown)
    return (
        Coefficients(
            diagonal=diagonal[used],
            diagonal_source=diagonal_source[used],
            entry=entry,
            entry_source=src[inner],
            entry_sign=sign[inner],
            pushed=np.concatenate(pushed),
            pushing=np.concatenate(pushing),
            push_source=np.concatenate(push_source),
            push_sign=np.concatenate(push_sign),
            entries=sum(len(part.row) for part in parts),
        ),
        parts,
    )
