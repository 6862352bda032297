"""Which supplies are bought and what hangs on which: pieces of line into supplies.

A piece (what hangs together by its +) goes to one supply as a whole, since the + of two supplies
are never joined. How many of which supply is a bin packing with bins of several sizes and prices;
`scipy.optimize.milp` (HiGHS) solves it, with every frame a bound of every supply.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .records import SupplyChoice

#: Beyond so many piece-supply pairs a first fit by size stands in for the exact packing.
_EXACT_PAIRS = 4000


@dataclass(frozen=True)
class Unit:
    """One supply that is bought, and the pieces (by index) that hang on it."""

    choice: int
    pieces: tuple[int, ...]


def packed(
    amps: np.ndarray, choices: list[int], supplies: tuple[SupplyChoice, ...], load: float
) -> tuple[tuple[Unit, ...], float] | None:
    """The cheapest units of `choices` (indices into `supplies`, all at one place) that carry pieces
    of `amps` (P, F) [A], and their price; None where a piece fits in none."""
    most = np.array([load * supplies[k].rated_a for k in choices])
    peak = amps.max(axis=1)
    if len(peak) and peak.max() > most.max() + 1e-9:
        return None
    fit = _first_fit(amps, choices, supplies, most)
    if fit is None:
        return None
    units, price = fit
    offered = tuple(supplies[k] for k in choices)
    least = least_price(float(amps.sum(axis=0).max()), offered, load)
    if price <= least + 1e-9:
        return fit  # whole pieces cost no more than split ones would
    if len(units) * len(choices) * len(amps) <= _EXACT_PAIRS:
        better = _milp(amps, choices, supplies, most, price)
        if better is not None:
            return better
    return units, price


def _first_fit(
    amps: np.ndarray, choices: list[int], supplies: tuple[SupplyChoice, ...], most: np.ndarray
) -> tuple[tuple[Unit, ...], float] | None:
    """Largest piece first into the first supply with room; the size that comes cheapest."""
    best: tuple[tuple[Unit, ...], float] | None = None
    order = np.argsort(-amps.max(axis=1), kind="stable")
    for room in most:
        if (amps.max(axis=1) > room + 1e-9).any():
            continue
        loads: list[np.ndarray] = []
        own: list[list[int]] = []
        for piece in order.tolist():
            for taken, mine in zip(loads, own, strict=True):
                if (taken + amps[piece]).max() <= room + 1e-9:
                    taken += amps[piece]
                    mine.append(piece)
                    break
            else:
                loads.append(amps[piece].copy())
                own.append([piece])
        # What is left in the last one may fit a smaller supply.
        units = []
        for taken, mine in zip(loads, own, strict=True):
            fits = [c for c, r in zip(choices, most, strict=True) if taken.max() <= r + 1e-9]
            units.append(Unit(min(fits, key=lambda c: supplies[c].price), tuple(sorted(mine))))
        counts = {c: sum(u.choice == c for u in units) for c in choices}
        if any(n > supplies[c].most for c, n in counts.items()):
            continue
        price = sum(supplies[u.choice].price for u in units)
        if best is None or price < best[1]:
            best = tuple(units), price
    return best


def _milp(
    amps: np.ndarray,
    choices: list[int],
    supplies: tuple[SupplyChoice, ...],
    most: np.ndarray,
    at_most: float,
) -> tuple[tuple[Unit, ...], float] | None:
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import lil_array

    pieces, frames = amps.shape
    bins = []  # (choice, room)
    for k, room in zip(choices, most, strict=True):
        count = min(int(at_most // max(supplies[k].price, 1e-9)), supplies[k].most, pieces)
        bins += [(k, room)] * count
    if not bins or len(bins) * pieces > _EXACT_PAIRS:
        return None
    b = len(bins)
    cost = np.concatenate([[supplies[k].price for k, _ in bins], np.zeros(b * pieces)])
    rows = lil_array((pieces + b * frames + b, b + b * pieces))
    low, high = np.full(rows.shape[0], -np.inf), np.zeros(rows.shape[0])
    for p in range(pieces):
        rows[p, b + p * b : b + (p + 1) * b] = 1
        low[p] = high[p] = 1
    for u, (_, room) in enumerate(bins):
        for f in range(frames):
            row = pieces + u * frames + f
            for p in range(pieces):
                rows[row, b + p * b + u] = amps[p, f]
            rows[row, u] = -room
    for u in range(1, b):  # alike supplies are used in order
        if bins[u][0] == bins[u - 1][0]:
            row = pieces + b * frames + u
            rows[row, u], rows[row, u - 1] = 1, -1
    found = milp(
        cost,
        integrality=np.ones(len(cost)),
        bounds=Bounds(0, 1),
        constraints=LinearConstraint(rows.tocsr(), low, high),
        options={"node_limit": 200, "mip_rel_gap": 1e-6},
    )
    if found.x is None:
        return None
    x = found.x[b:].reshape(pieces, b) > 0.5
    units = tuple(
        Unit(k, tuple(np.flatnonzero(x[:, u]).tolist()))
        for u, (k, _) in enumerate(bins)
        if x[:, u].any()
    )
    for unit in units:
        if amps[list(unit.pieces)].sum(axis=0).max() > most[choices.index(unit.choice)] + 1e-6:
            return None  # rounded wrongly: the first fit stands
    return units, float(sum(supplies[u.choice].price for u in units))


def least_price(total_a: float, supplies: tuple[SupplyChoice, ...], load: float) -> float:
    """What supplies for `total_a` [A] cost at least: whole supplies, but split as one likes."""
    from scipy.optimize import Bounds, LinearConstraint, milp

    price = np.array([s.price for s in supplies])
    room = np.array([load * s.rated_a for s in supplies])
    found = milp(
        price,
        integrality=np.ones(len(price)),
        bounds=Bounds(0, [float(s.most) for s in supplies]),
        constraints=LinearConstraint(room[None], total_a - 1e-9, np.inf),
    )
    return float(found.fun) if found.x is not None else np.inf
