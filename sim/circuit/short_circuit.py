"""What flows where while + and − touch at a node: the circuit without its pixels."""

from __future__ import annotations

import numpy as np

from .build import Network
from .topology import groups

#: Unit currents solved for at a time.
_AT_A_TIME = 256


def short_a(
    network: Network, joined: np.ndarray, at: np.ndarray, through: np.ndarray
) -> np.ndarray:
    """(K, F) [A] in the edges `through` (F,) while each node of `at` (K,) in turn is shorted.

    Only the edges `joined` (E,) bool conduct; pixels draw nothing. Positive from an edge's first
    node to its second, 0 where no supply reaches.

    With v the voltages without a short and Z the inverse of the conductances, a short at k takes
    the v_k / Z_kk amperes out of k that bring it to 0 V, and every other node x loses
    Z_xk · v_k / Z_kk (superposition: Thevenin). Z is symmetric (reciprocity), so its columns at
    the two ends of an edge tell the current there for a short at any node.
    """
    from scipy.sparse import coo_array
    from scipy.sparse.linalg import splu

    edge, free = network.edge, network.free
    amps = np.zeros((len(at), len(through)))
    linked = groups(edge[joined], network.nodes)
    live = np.isin(linked, linked[free:])
    node = np.flatnonzero(live[:free])
    if not live[at].any():
        return amps
    # Numbered anew: free nodes that a supply reaches, then the supplies.
    size = len(node)
    number = np.full(network.nodes, -1)
    number[node] = np.arange(size)
    number[free:] = size + np.arange(network.nodes - free)
    here = joined & live[edge[:, 0]]
    a, b = number[edge[here]].T
    g = network.edge_s[here]
    entries = np.r_[g, g, -g, -g], (np.r_[a, b, a, b], np.r_[a, b, b, a])
    matrix = coo_array(entries, (number.max() + 1,) * 2).tocsc()
    solved = splu(matrix[:size, :size].tocsc())
    volts = solved.solve(-(matrix[:size, size:] @ network.fixed_v))

    flows = joined[through] & live[edge[through, 0]]
    ends = number[edge[through[flows]]]
    between = np.zeros((size + len(network.fixed_v), len(ends)))
    between[ends[:, 0], np.arange(len(ends))] = 1
    between[ends[:, 1], np.arange(len(ends))] = -1
    ohm = solved.solve(between[:size])
    open_v = np.concatenate([volts, network.fixed_v]) @ between
    fed = live[at]
    k = number[at[fed]]
    taken_a = volts[k] / _own_ohm(solved, k, size)
    lost_v = ohm[k] * taken_a[:, None]
    amps[np.ix_(fed, flows)] = (open_v - lost_v) * network.edge_s[through[flows]]
    return amps


def _own_ohm(solved, at: np.ndarray, size: int) -> np.ndarray:  # type: ignore[no-untyped-def]
    """Z_kk [Ω] of each node `at`: the volts that 1 A taken out there costs there."""
    own = []
    for some in np.array_split(at, -(-len(at) // _AT_A_TIME)):
        unit = np.zeros((size, len(some)))
        unit[some, np.arange(len(some))] = 1.0
        own.append(solved.solve(unit)[some, np.arange(len(some))])
    return np.concatenate(own)
