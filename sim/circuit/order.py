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

from .together import groups


@dataclass(frozen=True, eq=False)
class Elimination:
    """An elimination order of the M unknowns of one connected part, with its pattern.

    Positions count in elimination order. Column k holds the entries below the diagonal of
    eliminating position k, at `row[column[k]:column[k + 1]]`, ascending.
    """

    node: np.ndarray  # (M,) the unknown at each position
    column: np.ndarray  # (M + 1,)
    row: np.ndarray  # (Z,)
    product: np.ndarray  # (M + 1,) where the products of each column begin
    target: np.ndarray  # products of two entries of a column: entry they change, or −1: diagonal


def eliminations(
    pair: np.ndarray, unknown: np.ndarray
) -> tuple[tuple[Elimination, ...], np.ndarray]:
    """One plan for each separate part of the `unknown` (C,) bool, coupled by `pair` (P, 2).

    Also (P,) the entry of each pair, counted through all parts.
    """
    links: list[set[int]] = [set() for _ in unknown]
    for a, b in pair.tolist():
        links[a].add(b)
        links[b].add(a)
    part_of = _parts_of(pair, len(unknown))
    nodes = np.flatnonzero(unknown)
    members = nodes[np.argsort(part_of[nodes], kind="stable")]
    parts = np.split(members, np.flatnonzero(np.diff(part_of[members])) + 1)
    made = tuple(_pattern(*_eliminate(part.tolist(), links)) for part in parts if len(part))
    return made, _entry_of(pair, made, len(unknown))


def _entry_of(pair: np.ndarray, parts: tuple[Elimination, ...], unknowns: int) -> np.ndarray:
    """(P,) the entry of each pair, counted through all parts; columns and rows both ascend."""
    position = np.zeros(unknowns, dtype=np.int64)
    keys, before = [np.zeros(0, dtype=np.int64)], 0
    for part in parts:
        size = len(part.node)
        position[part.node] = before + np.arange(size)
        at = np.repeat(np.arange(size), np.diff(part.column))
        keys.append((before + at) * unknowns + before + part.row)
        before += size
    a, b = position[pair].T
    return np.searchsorted(np.concatenate(keys), np.minimum(a, b) * unknowns + np.maximum(a, b))


def _parts_of(pair: np.ndarray, unknowns: int) -> np.ndarray:
    """(C,) numbers what `pair` couples."""
    return groups(pair, unknowns)


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


def _pattern(order: list[int], below: list[list[int]]) -> Elimination:
    """The plan of one part, from its order."""
    place = {node: k for k, node in enumerate(order)}
    rows: list[int] = []
    column = [0]
    where: dict[tuple[int, int], int] = {}
    for k, around in enumerate(below):
        for later in sorted(map(place.__getitem__, around)):
            where[k, later] = len(rows)
            rows.append(later)
        column.append(len(rows))
    target: list[int] = []
    product = [0]
    for first, last in pairwise(column):
        for i in range(first, last):
            target.append(-1)
            for j in range(i + 1, last):
                target.append(where[rows[i], rows[j]])
        product.append(len(target))
    return Elimination(
        node=np.array(order, dtype=np.int64),
        column=np.array(column, dtype=np.int64),
        row=np.array(rows, dtype=np.int64),
        product=np.array(product, dtype=np.int64),
        target=np.array(target, dtype=np.int64),
    )
