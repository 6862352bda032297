"""Which edges lie in rings together: the biconnected parts of the wiring.

Two edges belong to one part if some ring goes over both; an edge that no ring goes over is a
bridge. Where parts meet in one point only, what one takes out of the + of that point it gives
back to its −, so each has its own balance (Hopcroft and Tarjan 1973 find the parts in one walk).

Runs are long and seldom touched: between two points where a wire is fixed they are taken as one.
"""

from __future__ import annotations

import numpy as np


def rings(edge: np.ndarray, rails: int, wired: int, pixels: int, nodes: int) -> np.ndarray:
    """(E,) the number of the part of each edge; −1 for bridges and from edge `wired` on.

    The first `rails` edges join neighbouring pixels, run by run, each from k to k + 1.
    """
    a, b = edge[:rails].T
    point = np.zeros(nodes, dtype=bool)
    point[edge[rails:]] = True
    begins = point[a].copy()
    begins[:1] = True
    begins[1:] |= a[1:] != b[:-1]  # the first of a run
    piece = np.cumsum(begins) - 1
    first = np.flatnonzero(begins)
    last = np.r_[first[1:], rails][: len(first)] - 1
    short = np.concatenate([np.stack([a[first], b[last]], axis=1), edge[rails:wired]])
    label = _parts(short.tolist())
    out = np.full(len(edge), -1)
    out[:rails] = label[piece]
    out[rails:wired] = label[len(first) :]
    return out


def _parts(ends: list[list[int]]) -> np.ndarray:
    """(E,) the number of the biconnected part of each edge, −1 for bridges."""
    at: dict[int, list[tuple[int, int]]] = {}
    for e, (a, b) in enumerate(ends):
        at.setdefault(a, []).append((b, e))
        at.setdefault(b, []).append((a, e))
    label = np.full(len(ends), -1)
    seen: dict[int, int] = {}
    low: dict[int, int] = {}
    number = 0
    for root in at:
        if root in seen:
            continue
        seen[root] = low[root] = len(seen)
        walk = [(root, -1, iter(at[root]))]
        passed: list[int] = []
        while walk:
            node, came, rest = walk[-1]
            for other, e in rest:
                if e == came:
                    continue
                if other not in seen:
                    passed.append(e)
                    seen[other] = low[other] = len(seen)
                    walk.append((other, e, iter(at[other])))
                    break
                if seen[other] < seen[node]:
                    passed.append(e)
                    low[node] = min(low[node], seen[other])
            else:
                walk.pop()
                if not walk:
                    break
                above = walk[-1][0]
                low[above] = min(low[above], low[node])
                if low[node] >= seen[above]:
                    part = []
                    while True:
                        part.append(passed.pop())
                        if part[-1] == came:
                            break
                    if len(part) > 1:
                        label[part] = number
                        number += 1
    return label
