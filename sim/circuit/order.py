"""In which order the nodes are eliminated, found once for a network.

Gaussian elimination of node k joins all its remaining neighbours. Taking a node with the fewest
neighbours first (minimum degree: Markowitz 1957, Tinney and Walker 1967) keeps that cheap: dead
ends cost nothing new, a run between two feeds costs one more number a pixel, and what is left of a
house then is its few branch points. The pattern is the same for every frame; only the numbers
change, so the pattern and where each product goes are written down here and the kernel just runs.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass
from itertools import pairwise

import numpy as np


@dataclass(frozen=True, eq=False)
class Elimination:
    """An elimination order of the M nodes of one connected network, with its pattern.

    Positions count in elimination order. Column k holds the entries below the diagonal of
    eliminating position k, at `row[column[k]:column[k + 1]]`, ascending.
    """

    node: np.ndarray  # (M,) the node at each position
    diagonal_s: np.ndarray  # (M,) [S] of the network without pixels
    column: np.ndarray  # (M + 1,)
    row: np.ndarray  # (Z,)
    entry_s: np.ndarray  # (Z,) [S] off-diagonal of the network, 0 where elimination fills in
    product: np.ndarray  # (M + 1,) where the products of each column begin
    target: np.ndarray  # products of two entries of a column: entry they change, or −1: diagonal


def eliminations(
    edge: np.ndarray, edge_s: np.ndarray, free: int, part_of: np.ndarray
) -> tuple[Elimination, ...]:
    """One plan for each separate part of the nodes 0..free-1.

    They are joined by `edge` (E, 2) of `edge_s` (E,) [S]; edges to nodes ≥ `free` (fixed ones)
    only add to the diagonal. `part_of` (free,) numbers the parts.
    """
    diagonal = np.zeros(free)
    for side in (0, 1):
        mine = edge[:, side] < free
        np.add.at(diagonal, edge[mine, side], edge_s[mine])
    weight: list[dict[int, float]] = [{} for _ in range(free)]
    inner = (edge < free).all(axis=1)
    for (a, b), s in zip(edge[inner].tolist(), edge_s[inner].tolist(), strict=True):
        weight[a][b] = weight[b][a] = weight[a].get(b, 0.0) - s
    links = [set(neighbours) for neighbours in weight]

    members = np.argsort(part_of, kind="stable")
    begin = np.searchsorted(part_of[members], np.arange(part_of.max(initial=-1) + 2))
    made = []
    for first, last in pairwise(begin):
        order, below = _eliminate(members[first:last].tolist(), links)
        made.append(_pattern(order, below, weight, diagonal))
    return tuple(made)


def _eliminate(nodes: list[int], links: list[set[int]]) -> tuple[list[int], list[list[int]]]:
    """The order in which one part is eliminated, and the neighbours each node then has left.

    `links` of its nodes is used up.
    """
    order: list[int] = []
    below: list[list[int]] = []
    gone: set[int] = set()
    # Dead ends and nodes in a line are taken as they come, the last one touched first: that
    # walks along each run, so memory is walked along too. The rest goes by number of neighbours.
    for most in (1, 2):
        stack = [node for node in reversed(nodes) if len(links[node]) <= most]
        while stack:
            node = stack.pop()
            if node in gone or len(links[node]) > most:
                continue
            gone.add(node)
            touched = _take_out(node, links, order, below)
            stack.extend(other for other in touched if len(links[other]) <= most)
    heap = [(len(links[node]), node) for node in nodes if node not in gone]
    heapq.heapify(heap)
    while heap:
        degree, node = heapq.heappop(heap)
        if node in gone or degree != len(links[node]):
            continue
        gone.add(node)
        for other in _take_out(node, links, order, below):
            heapq.heappush(heap, (len(links[other]), other))
    return order, below


def _take_out(
    node: int, links: list[set[int]], order: list[int], below: list[list[int]]
) -> list[int]:
    """Eliminate one node: its neighbours, which are returned, become neighbours of each other."""
    around = sorted(links[node])
    order.append(node)
    below.append(around)
    for other in around:
        links[other].discard(node)
        links[other].update(around)
        links[other].discard(other)
    return around


def _pattern(
    order: list[int],
    below: list[list[int]],
    weight: list[dict[int, float]],
    diagonal: np.ndarray,
) -> Elimination:
    """The plan of one part, from its order."""
    place = {node: k for k, node in enumerate(order)}
    rows: list[int] = []
    entries: list[float] = []
    column = [0]
    where: dict[tuple[int, int], int] = {}
    for k, (node, around) in enumerate(zip(order, below, strict=True)):
        for other in sorted(around, key=place.__getitem__):
            where[k, place[other]] = len(rows)
            rows.append(place[other])
            entries.append(weight[node].get(other, 0.0))
        column.append(len(rows))
    target: list[int] = []
    product = [0]
    for first, last in pairwise(column):
        for i in range(first, last):
            target.append(-1)
            target.extend(where[rows[i], rows[j]] for j in range(i + 1, last))
        product.append(len(target))
    node_at = np.array(order, dtype=np.int64)
    return Elimination(
        node=node_at,
        diagonal_s=diagonal[node_at],
        column=np.array(column, dtype=np.int64),
        row=np.array(rows, dtype=np.int64),
        entry_s=np.array(entries, dtype=float),
        product=np.array(product, dtype=np.int64),
        target=np.array(target, dtype=np.int64),
    )
