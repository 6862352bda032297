"""Ways to fill a bar, and how often each is taken: the columns of a cutting-stock programme."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

#: So many ways to fill a bar are listed whole; beyond, they are found by their price.
_MOST_PATTERNS = 4000
_MOST_ROUNDS = 200
#: How long the integer programme may search, in nodes: a count, so that results are the same on
#: every machine.
_MOST_NODES = 2000


@dataclass(frozen=True)
class StockLength:
    """A length of stock, in whole steps of any unit; `cost` in any money."""

    steps: int
    cost: float


#: A way to fill a bar: its stock, and how many of each size.
Pattern = tuple[int, tuple[int, ...]]


def fillings(
    sizes: list[int], needed: list[int], stock: Sequence[StockLength], kerf: int
) -> tuple[list[Pattern], float, bool]:
    """Ways to fill a bar; the cost of the relaxed programme over every way there is, at most.

    Last, whether these are all the ways worth taking.
    """
    listed: list[Pattern] = []
    for number, length in enumerate(stock):
        room = _MOST_PATTERNS - len(listed)
        found = _patterns(sizes, needed, length.steps + kerf, kerf, room)
        if found is None:
            return *_priced(sizes, needed, stock, kerf), False
        listed += [(number, pattern) for pattern in found]
    return listed, _relaxed(listed, needed, stock)[0], True


def _patterns(
    sizes: list[int], needed: list[int], room: int, kerf: int, most: int
) -> list[tuple[int, ...]] | None:
    """Every way to fill `room` that leaves no room for another piece; None where they are many."""
    found: list[tuple[int, ...]] = []

    def fill(size: int, rest: int, counts: tuple[int, ...]) -> bool:
        if size == len(sizes):
            spare = any(
                sizes[each] + kerf <= rest and counts[each] < needed[each]
                for each in range(len(sizes))
            )
            if not spare and any(counts):
                found.append(counts)
            return len(found) <= most
        fits = min(needed[size], rest // (sizes[size] + kerf))
        return all(
            fill(size + 1, rest - count * (sizes[size] + kerf), (*counts, count))
            for count in range(fits, -1, -1)
        )

    return found if _few(sizes, needed, room, kerf) and fill(0, room, ()) else None


def _few(sizes: list[int], needed: list[int], room: int, kerf: int) -> bool:
    """Whether listing cannot take long, counted without the pieces' sharing one bar."""
    ways = math.prod(
        1 + min(count, room // (size + kerf)) for size, count in zip(sizes, needed, strict=True)
    )
    return ways <= 50 * _MOST_PATTERNS


def _priced(
    sizes: list[int], needed: list[int], stock: Sequence[StockLength], kerf: int
) -> tuple[list[Pattern], float]:
    """Columns by their price, and a true lower bound whenever it stops (Farley's)."""
    columns: list[Pattern] = []
    for at, size in enumerate(sizes):
        for number, length in enumerate(stock):
            fits = min(needed[at], (length.steps + kerf) // (size + kerf))
            if fits:
                columns.append(
                    (number, tuple(fits if at == each else 0 for each in range(len(sizes))))
                )
    bound = 0.0
    for _ in range(_MOST_ROUNDS):
        cost, worth = _relaxed(columns, needed, stock)
        fresh: list[Pattern] = []
        slack = 1.0
        for number, length in enumerate(stock):
            value, counts = fullest_worth(sizes, needed, worth, length.steps + kerf, kerf)
            if value > length.cost + 1e-7:
                fresh.append((number, counts))
            if value > 0:
                slack = min(slack, length.cost / value)
        bound = max(bound, cost * slack)
        if not fresh:
            break
        columns += fresh
    return columns, bound


def fullest_worth(
    sizes: list[int], needed: list[int], worth: np.ndarray, room: int, kerf: int
) -> tuple[float, tuple[int, ...]]:
    """The filling of most worth, each size at most as often as it is needed."""
    items: list[tuple[int, int]] = []  # (size index, how many at once): binary splitting
    for at, count in enumerate(needed):
        many = 1
        while count > 0:
            items.append((at, min(many, count)))
            count -= many
            many *= 2
    best = np.zeros(room + 1)
    taken = np.zeros((len(items), room + 1), dtype=bool)
    for item, (at, many) in enumerate(items):
        weight, value = many * (sizes[at] + kerf), many * worth[at]
        if weight > room or value <= 0:
            continue
        with_it = best[: room + 1 - weight] + value
        better = with_it > best[weight:] + 1e-12
        taken[item, weight:] = better
        best[weight:][better] = with_it[better]
    counts, rest = [0] * len(sizes), room
    for item in range(len(items) - 1, -1, -1):
        if taken[item, rest]:
            at, many = items[item]
            counts[at] += many
            rest -= many * (sizes[at] + kerf)
    return float(best[room]), tuple(counts)


def _relaxed(
    columns: list[Pattern], needed: list[int], stock: Sequence[StockLength]
) -> tuple[float, np.ndarray]:
    """The relaxed programme: its cost, and what one piece of each size is worth in it."""
    from scipy.optimize import linprog

    costs = [stock[number].cost for number, _ in columns]
    counts = np.array([pattern for _, pattern in columns], dtype=float).T
    solved = linprog(costs, A_ub=-counts, b_ub=-np.array(needed, dtype=float), method="highs")
    return float(solved.fun), -np.asarray(solved.ineqlin.marginals)


def how_often(
    columns: list[Pattern], needed: list[int], stock: Sequence[StockLength]
) -> tuple[np.ndarray | None, float | None]:
    """How often each column is cut at the least cost, and that cost; None where none was found.

    The cost is None too where the search was cut short, for then it may not be the least.
    """
    from scipy.optimize import LinearConstraint, milp

    counts = np.array([pattern for _, pattern in columns], dtype=float).T
    solved = milp(
        [stock[number].cost for number, _ in columns],
        integrality=np.ones(len(columns)),
        constraints=LinearConstraint(counts, lb=np.array(needed, dtype=float)),
        options={"node_limit": _MOST_NODES, "mip_rel_gap": 0},
    )
    times = None if solved.x is None else np.round(solved.x).astype(int)
    return times, float(solved.fun) if solved.status == 0 else None
