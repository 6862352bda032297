"""What hangs together: nodes joined by edges, and what a supply reaches of them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, eq=False)
class Reach:
    """N pixels, S supplies."""

    node: np.ndarray  # (M + S,) bool: a supply reaches + and − of the node
    live: np.ndarray  # (N,) bool: the same of the pixels
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
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    graph = coo_array((np.ones(len(edge)), edge.T), shape=(nodes, nodes))
    return connected_components(graph, directed=False)[1]
