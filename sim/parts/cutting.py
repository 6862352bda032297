"""Cutting stock: pieces from as few bars, or as little money, as can be.

Pieces fit a bar of length L where Σ(pᵢ + k) ≤ L + k, k being what the saw takes. First the pieces
are laid by first fit, longest first, and bar after bar as full as can be. Where neither meets the
lower bound, every way to fill a bar is a column of an integer programme (P. C. Gilmore,
R. E. Gomory, Operations Research 9, 1961): all of them where they are few, else those that the
relaxed programme prices in, one by one. The relaxed programme over all of them is the bound, so it
is known how far from least a result can be.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim.parts.fillings import Pattern, StockLength, fillings, fullest_worth, how_often

_CLOSE = 1e-6
#: With more sizes the programme takes longer than what it can still save is worth.
_MOST_SIZES = 120


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


def cut(pieces: Sequence[int], stock: Sequence[StockLength], kerf: int = 0) -> Cutting:
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
        filled = [_fullest(pieces, stock, kerf, most) for most in range(len(stock))]
        best = min(
            (best, *(found for found in filled if found)), key=lambda found: _cost(found, stock)
        )
    sizes = sorted(set(pieces), reverse=True)
    if _cost(best, stock) > bound + _CLOSE and len(sizes) <= _MOST_SIZES:
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


def _cost(bars: Sequence[Bar], stock: Sequence[StockLength]) -> float:
    return sum(stock[bar.stock].cost for bar in bars)


def _first_fit(
    pieces: Sequence[int], stock: Sequence[StockLength], kerf: int, most: int
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


def _fullest(
    pieces: Sequence[int], stock: Sequence[StockLength], kerf: int, most: int
) -> list[Bar] | None:
    """Bar after bar as full as can be, each about the longest piece that is left."""
    room = stock[most].steps + kerf
    if max(pieces) + kerf > room:
        return None
    waiting: dict[int, list[int]] = {}
    for number in sorted(range(len(pieces)), key=lambda number: -pieces[number]):
        waiting.setdefault(pieces[number], []).append(number)
    bars = []
    while waiting:
        longest = next(iter(waiting))
        taken = [_take(waiting, longest)]
        rest = room - longest - kerf
        sizes = [size for size in waiting if size + kerf <= rest]
        if sizes:
            worth = np.array(sizes, dtype=float) + kerf
            _, counts = fullest_worth(sizes, [len(waiting[s]) for s in sizes], worth, rest, kerf)
            for size, count in zip(sizes, counts, strict=True):
                taken += [_take(waiting, size) for _ in range(count)]
        used = sum(pieces[number] + kerf for number in taken) - kerf
        bars.append(Bar(_cheapest(used, stock), tuple(taken)))
    return bars


def _take(waiting: dict[int, list[int]], size: int) -> int:
    number = waiting[size].pop()
    if not waiting[size]:
        del waiting[size]
    return number


def _cheapest(steps: int, stock: Sequence[StockLength]) -> int:
    """The cheapest length that holds so much, the shorter among equals."""
    holding = [number for number, length in enumerate(stock) if length.steps >= steps]
    return min(holding, key=lambda number: (stock[number].cost, stock[number].steps))


def _simple_bound(pieces: Sequence[int], stock: Sequence[StockLength], kerf: int) -> float:
    """What the material alone costs, and the bars that there must be."""
    needed = sum(pieces) + kerf * len(pieces)
    rate = min(length.cost / (length.steps + kerf) for length in stock)
    bound = _rounded_up(needed * rate, stock)
    room = max(length.steps for length in stock) + kerf
    least = _least_bars([piece + kerf for piece in pieces], room)
    return max(bound, least * min(length.cost for length in stock))


def _least_bars(sizes: list[int], room: int) -> int:
    """Bars of `room` that must be, for what is large shares none and the middling must go beside.

    S. Martello, P. Toth, Discrete Applied Mathematics 28, 1990: the bound L2.
    """
    in_order = np.array(sorted(sizes))
    best = 0
    for small in (0, *np.unique(in_order[2 * in_order <= room])):
        alone = in_order > room - small
        large = (2 * in_order > room) & ~alone
        middling = (in_order >= small) & (2 * in_order <= room)
        beside = int(large.sum()) * room - int(in_order[large].sum())
        more = max(0, int(in_order[middling].sum()) - beside)
        best = max(best, int(alone.sum() + large.sum()) + -(-more // room))
    return best


def _rounded_up(cost: float, stock: Sequence[StockLength]) -> float:
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
