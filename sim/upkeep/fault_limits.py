"""What gives way in a broken circuit: fuses that open, supplies that give up."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from layouts.catalogue import limits
from sim.circuit import Solution
from sim.circuit.fuse_opening import OPENS

#: No supply gives more than this multiple of its rating: protection at 105–150 % [datasheet].
MOST = 1.5


def next_fuse(solution: Solution, opened: Iterable[int]) -> int | None:
    """The wire whose fuse opens next: the one most loaded of those that open within seconds.

    None where none does. A supply that would have to give more than it surely can leaves its fuses
    that much less.
    """
    loads = _fuse_loads(solution, opened)
    if loads is None:
        return None
    load = loads.max(axis=0)
    most = int(load.argmax())
    return most if load[most] >= OPENS else None


def next_fuses(solution: Solution, opened: Iterable[int]) -> np.ndarray:
    """(T,) what `next_fuse` is for each frame alone; −1: none."""
    loads = _fuse_loads(solution, opened)
    if loads is None:
        return np.full(len(solution.wire_a), -1)
    return np.where(loads.max(axis=1) >= OPENS, loads.argmax(axis=1), -1)


def _fuse_loads(solution: Solution, opened: Iterable[int]) -> np.ndarray | None:
    """(T, W) amperes through each fuse as a share of its rating; None where no fuse is closed."""
    wires = solution.network.house.wires
    rated_a = np.array([np.inf if w.fuse_a is None else w.fuse_a for w in wires])
    rated_a[list(opened)] = np.inf
    if not np.isfinite(rated_a).any() or not len(solution.network.fixed_v):
        return None
    given = _given(solution, limits().supply_gives)
    names = [supply.name for supply in solution.network.house.supplies]
    share = np.stack(
        [
            given[:, names.index(wire.start.name)]
            if wire.start.kind == "supply"
            else given.min(axis=1)
            for wire in wires
        ],
        axis=1,
    )
    return np.asarray(np.abs(solution.wire_a) * share / rated_a)


def overloaded(solution: Solution) -> tuple[str, ...]:
    """The supplies asked for more than any gives."""
    short = np.flatnonzero(asked_too_much(solution).any(axis=0))
    supplies = solution.network.house.supplies
    return tuple(supplies[s].name for s in short)


def asked_too_much(solution: Solution) -> np.ndarray:
    """(T, S) bool: the supply is asked for more than any gives."""
    if not len(solution.network.fixed_v):
        return np.zeros(solution.supply_a.shape, dtype=bool)
    return _given(solution, MOST) < 1


def _given(solution: Solution, most: float) -> np.ndarray:
    """(T, S) 0..1 of what each supply is asked for that it gives."""
    rated_a = np.array([supply.rated_a for supply in solution.network.house.supplies])
    return np.minimum(1.0, most * rated_a / np.maximum(solution.supply_a, 1e-9))
