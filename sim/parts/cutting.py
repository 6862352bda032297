"""Cutting stock: pieces from as few bars, or as little money, as can be.

Pieces fit a bar of length L where Σ(pᵢ + k) ≤ L + k, k being what the saw takes. First the pieces
are laid by first fit, longest first. Where that does not meet the lower bound, every way to fill a
bar is a column of an integer programme (P. C. Gilmore, R. E. Gomory, Operations Research 9, 1961):
all of them where they are few, else those that the relaxed programme prices in, one by one. The
relaxed programme over all of them is the bound, so it is known how far from least a result can be.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.parts.fillings import Length, Pattern, fillings, how_often

_CLOSE = 1e-6


@dataclass(frozen=True)
class Bar:
    """One bar and what is cut from it."""

    stock: int  # index of its length
    pieces: tuple[int, ...]  # indices, in cutting order


@dataclass(frozen=True)
class Cutting:
    """All bars; `bound` is what the least could cost, at most."""

    bars: tuple[Bar, ...]
    cost: float
    bound: float

    @property
    def proven(self) -> bool:
        """Whether nothing can cost less."""
        return self.cost <= self.bound + _CLOSE * max(1.0, self.bound)


def cut(pieces: Sequence[int], stock: Sequence[Length], kerf: int = 0) -> Cutting:
    """Pieces [steps] cut from stock at the least cost that is found.

    Raises ValueError for a piece that is longer than every length of stock, and for no stock.
    """
    if any(piece <= 0 for piece in pieces) or kerf < 0:
        raise ValueError("pieces are longer than nothing and the kerf not less")
    if not pieces:
        return Cutting((), 0.0, 0.0)
    if not stock or max(pieces) > max(length.steps for length in stock):
        raise ValueError("a piece is longer than the longest stock")
    laid = [_first_fit(pieces, stock, kerf, most) for most in range(len(stock))]
    best = min((found for found in laid if found), key=lambda found: _cost(found, stock))
    bound = _simple_bound(pieces, stock, kerf)
    if _cost(best, stock) > bound + _CLOSE:
        sizes = sorted(set(pieces), reverse=True)
        wanted = Counter(pieces)
        needed = [wanted[size] for size in sizes]
        columns, relaxed, every = fillings(sizes, needed, stock, kerf)
        bound = max(bound, _rounded_up(relaxed, stock))
        if _cost(best, stock) > bound + _CLOSE:
            times, least = how_often(columns, needed, stock)
            if times is not None:
                laid_out = _lay(times, columns, sizes, pieces)
                if _cost(laid_out, stock) < _cost(best, stock) - _CLOSE:
                    best = laid_out
            if every and least is not None:
                bound = max(bound, least)
    cost = _cost(best, stock)
    return Cutting(tuple(best), cost, min(bound, cost))


def _cost(bars: Sequence[Bar], stock: Sequence[Length]) -> float:
    return sum(stock[bar.stock].cost for bar in bars)


def _first_fit(
    pieces: Sequence[int], stock: Sequence[Length], kerf: int, most: int
) -> list[Bar] | None:
    """First fit, longest first, on bars of one length; each then the cheapest that holds it."""
    room = stock[most].steps + kerf
    left: list[int] = []
    filled: list[list[int]] = []
    for piece in sorted(range(len(pieces)), key=lambda number: -pieces[number]):
        needed = pieces[piece] + kerf
        if needed > room:
            return None
        at = next((bar for bar, rest in enumerate(left) if rest >= needed), None)
        if at is None:
            at = len(left)
            left.append(room)
            filled.append([])
        left[at] -= needed
        filled[at].append(piece)
    return [
        Bar(_cheapest(room - rest - kerf, stock), tuple(bar))
        for rest, bar in zip(left, filled, strict=True)
    ]


def _cheapest(steps: int, stock: Sequence[Length]) -> int:
    """The cheapest length that holds so much, the shorter among equals."""
    holding = [number for number, length in enumerate(stock) if length.steps >= steps]
    return min(holding, key=lambda number: (stock[number].cost, stock[number].steps))


def _simple_bound(pieces: Sequence[int], stock: Sequence[Length], kerf: int) -> float:
    """What the material alone costs, and the bars that pieces beyond half a bar need."""
    needed = sum(pieces) + kerf * len(pieces)
    rate = min(length.cost / (length.steps + kerf) for length in stock)
    bound = _rounded_up(needed * rate, stock)
    longest = max(length.steps for length in stock)
    alone = sum(2 * (piece + kerf) > longest + kerf for piece in pieces)
    return max(bound, alone * min(length.cost for length in stock))


def _rounded_up(cost: float, stock: Sequence[Length]) -> float:
    """A bound of whole bars, where all cost the same."""
    each = stock[0].cost
    if each <= 0 or any(length.cost != each for length in stock):
        return cost
    return math.ceil(cost / each - 1e-9) * each


def _lay(
    times: np.ndarray, columns: list[Pattern], sizes: list[int], pieces: Sequence[int]
) -> list[Bar]:
    """The columns as bars of real pieces; what a column holds beyond the need is left out."""
    waiting: dict[int, list[int]] = {size: [] for size in sizes}
    for number in range(len(pieces) - 1, -1, -1):
        waiting[pieces[number]].append(number)
    bars = []
    for count, (stock, pattern) in zip(times, columns, strict=True):
        for _ in range(count):
            cut_here = [
                waiting[size].pop()
                for size, many in zip(sizes, pattern, strict=True)
                for _ in range(min(many, len(waiting[size])))
            ]
            if cut_here:
                bars.append(Bar(stock, tuple(cut_here)))
    return bars
