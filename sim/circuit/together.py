"""What hangs together: nodes joined by edges, and what a supply reaches of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

#: Up to so many edges and nodes are joined here, within milliseconds: the library takes a quarter
#: of a second to import, which a small house would wait for.
_FEW = 20_000


@dataclass(frozen=True, eq=False)
class Reach:
    """N pixels, S supplies."""

    node: np.ndarray  # (M + S,) bool: a supply reaches + and − of the node
    held: np.ndarray  # (M + S,) bool: its volts are definite, by a supply or by a short alone
    live: np.ndarray  # (N,) bool: `node` of the pixels
    fed: np.ndarray  # (S, N) bool: the pixel hangs on the + of this supply
    joined: np.ndarray  # (S,) numbers the supplies by what + they share
    loose: np.ndarray  # nodes where a resistor joins + to −
    whole: bool  # nothing is dead


def groups(edge: np.ndarray, nodes: int, *, again: bool = False) -> np.ndarray:
    """(nodes,) numbers what hangs together by `edge` (E, 2), in the order of first nodes.

    `again`: it is asked for many a time, so that loading what is compiled is worth it.
    """
    if again:
        from .joined_kernel import labels

        return labels(np.ascontiguousarray(edge), nodes)
    if len(edge) + nodes <= _FEW:
        return _joined(edge, nodes)
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    graph = coo_array((np.ones(len(edge)), edge.T), shape=(nodes, nodes))
    return np.asarray(connected_components(graph, directed=False)[1])


def _joined(edge: np.ndarray, nodes: int) -> np.ndarray:
    """The same as `groups`, one edge after the other."""
    root = list(range(nodes))

    def top(k: int) -> int:
        while root[k] != k:
            root[k] = root[root[k]]
            k = root[k]
        return k

    for a, b in edge.tolist():
        one, other = top(a), top(b)
        root[max(one, other)] = min(one, other)
    # The root is the least of its group, so that first nodes are in order.
    tops = np.array([top(k) for k in range(nodes)], dtype=np.int64)
    return np.unique(tops, return_inverse=True)[1].astype(np.int32)


def breadth_first(edge: np.ndarray, nodes: int, start: int) -> tuple[np.ndarray, np.ndarray]:
    """The nodes reached from `start` by `edge` (E, 2), nearest first, and (nodes,) which each is
    reached from, −1 for none; of the same distance those at the ends of edges come before those
    where edges begin."""
    if len(edge) + nodes > _FEW:
        from scipy.sparse import coo_array
        from scipy.sparse.csgraph import breadth_first_order

        graph = coo_array((np.ones(len(edge)), edge.T), shape=(nodes, nodes)).tocsr()
        order, before = breadth_first_order(graph, start, directed=False)
        return order, np.where(before < 0, -1, before)
    onward: list[set[int]] = [set() for _ in range(nodes)]
    back: list[set[int]] = [set() for _ in range(nodes)]
    for a, b in edge.tolist():
        onward[a].add(b)
        back[b].add(a)
    order, before = [start], [-1] * nodes
    for node in order:  # which grows
        for next_ in (*sorted(onward[node]), *sorted(back[node])):
            if next_ != start and before[next_] < 0:
                before[next_] = node
                order.append(next_)
    return np.array(order, dtype=np.int32), np.array(before, dtype=np.int32)
