"""Compiled helpers of circuits that are changed a thousand times: what hangs together, sums along
a tree."""

from __future__ import annotations

import numpy as np

from sim.kernels import njit


@njit(cache=True, nogil=True)
def labels(edge: np.ndarray, nodes: int) -> np.ndarray:
    """(nodes,) numbers what hangs together by `edge` (E, 2), in the order of first nodes."""
    root = np.arange(nodes)
    for k in range(len(edge)):
        a, b = edge[k, 0], edge[k, 1]
        while root[a] != a:
            root[a] = root[root[a]]
            a = root[a]
        while root[b] != b:
            root[b] = root[root[b]]
            b = root[b]
        if a < b:
            root[b] = a
        elif b < a:
            root[a] = b
    out = np.empty(nodes, dtype=np.int32)
    many = 0
    for n in range(nodes):
        # The root is the least of its group, so it has its number already.
        if root[n] == n:
            out[n] = many
            many += 1
        else:
            a = n
            while root[a] != a:
                a = root[a]
            root[n] = a
            out[n] = out[a]
    return out


@njit(cache=True, nogil=True)
def sum_down(parent: np.ndarray, order: np.ndarray, step: np.ndarray, out: np.ndarray) -> None:
    """Adds `step` (K, T) of each node `order` (K,) to what its `parent` (K,) has, in `out` (N, T).

    Each node comes after its parent.
    """
    for k in range(len(order)):
        for t in range(out.shape[1]):
            out[order[k], t] = out[parent[k], t] + step[k, t]
