"""What no supply reaches, and what holds such a piece in place while the rest is solved.

Conductors that hang together, + with + and − with −, are one island; a supply joins the two it
stands between. A pixel is live if its + and its − are on one island: current can then return.
(Two islands joined by pixels alone, each on one side of two supplies, would have to break in both
conductors in two places; they count as dead.)

The voltage between two islands is nobody's: nothing flows. So that the equations have one answer,
islands are joined by resistors, in one place each and never in a ring, through which nothing flows
either. Where + and − touch, a short holds the two together already.
"""

from __future__ import annotations

import numpy as np

from .together import Reach, groups
from .topology import Topology


def reach(
    net: Topology, plus: np.ndarray, minus: np.ndarray, shorted: np.ndarray | None = None
) -> Reach:
    """Where current can go while the conductors `plus`, `minus` (E,) bool conduct.

    `shorted` are free nodes where + and − touch.
    """
    nodes, sources = net.nodes, np.arange(net.free, net.nodes)
    # + of node k is k, its − is nodes + k.
    inside = net.edge[net.first_source :]
    terminal = np.setdiff1d(sources, inside)
    inside = inside[plus[net.first_source :]]
    rest = slice(0, net.first_source)
    conductors = [net.edge[rest][plus[rest]], nodes + net.edge[rest][minus[rest]]]
    again = bool(net.reaches)
    plus_of = groups(conductors[0], nodes, again=again)
    through = [np.stack([k, nodes + k], axis=1) for k in (terminal, inside[:, 1])]
    island = groups(np.concatenate([*conductors, *through]), 2 * nodes, again=again)
    over, under = island[:nodes], island[nodes:]
    live = over == under
    hangs = plus_of.copy()
    hangs[inside[:, 0]] = plus_of[inside[:, 1]]
    joined = hangs[sources]
    fed = (joined[:, None] == plus_of[: net.pixels]) & live[: net.pixels]
    dead = np.flatnonzero(~live[: net.free])
    at = np.zeros(0, dtype=np.int64) if shorted is None else shorted
    held = np.stack([over[at], under[at]], axis=1)
    hold = live
    if len(at):
        bound = groups(held, int(island.max()) + 1)
        hold = bound[over] == bound[under]
    return Reach(
        node=live,
        held=hold,
        live=live[: net.pixels],
        fed=fed,
        joined=joined,
        loose=dead[_tree(over[dead], under[dead], held)],
        whole=not len(dead),
    )


def _tree(a: np.ndarray, b: np.ndarray, held: np.ndarray) -> np.ndarray:
    """Indices of pairs (a, b) that join everything they can without closing a ring.

    The pairs `held` (K, 2) are joined already.
    """
    _, first = np.unique(np.stack([np.minimum(a, b), np.maximum(a, b)]), axis=1, return_index=True)
    root: dict[int, int] = {}

    def top(k: int) -> int:
        while root.setdefault(k, k) != k:
            root[k] = root[root[k]]
            k = root[k]
        return k

    for one, other in held.tolist():
        root[top(one)] = top(other)
    chosen = []
    for i in first.tolist():
        one, other = top(int(a[i])), top(int(b[i]))
        if one != other:
            root[one] = other
            chosen.append(i)
    return np.array(chosen, dtype=np.int64)
