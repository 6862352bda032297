"""Instants of a curve worth going to: its peak, the worst of each stretch past a limit. Pure."""

from __future__ import annotations

import numpy as np

from sim.app.state.ribbon import Load, stretches
from sim.app.state.ribbon_view import Mark

#: Stretches nearer than this share of the whole are one.
_NEAR = 1 / 200
#: The worst so many are marked.
MOST = 24
#: A curve that moves by less than this share of its peak has no peak worth going to.
FLAT = 0.02


def is_flat(load: Load) -> bool:
    """Whether the current stands still."""
    total = load.total_a[~np.isnan(load.total_a)]
    if not len(total):
        return False
    return bool(total.max() - total.min() <= FLAT * max(float(total.max()), 0.05))


def marks_of(load: Load) -> tuple[Mark, ...]:
    """The marks of a curve in the order of time; what is only about right is not marked."""
    sure = ~np.isnan(load.total_a) & ~load.guessed
    if not sure.any():
        return ()
    found = _warnings(load, sure)
    if not is_flat(load):
        peak = int(np.where(sure, load.total_a, -np.inf).argmax())
        text = f"peak {load.total_a[peak]:.1f} A"
        found.append(Mark("peak", peak / load.fps, text))
    return tuple(sorted(found, key=lambda mark: mark.time_s))


def _warnings(load: Load, sure: np.ndarray) -> list[Mark]:
    past = (load.past | load.over) & sure
    near = max(round(_NEAR * len(past)), 1)
    joined: list[tuple[int, int]] = []
    for start, end in stretches(past):
        if joined and start - joined[-1][1] <= near:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    if not joined:
        return []
    strain = np.where(past, np.nan_to_num(load.utilisation, nan=0.0, posinf=1e9), 0.0)
    rated = np.flatnonzero(load.over & past)
    if len(rated):
        with np.errstate(invalid="ignore", divide="ignore"):
            share = np.nan_to_num(load.supply_a[rated] / load.rated_a).max(axis=1)
        strain[rated] = 1e9 + share  # a rating comes before all else
    worst = [start + int(strain[start:end].argmax()) for start, end in joined]
    worst = sorted(worst, key=lambda frame: -float(strain[frame]))[:MOST]
    return [_warning(load, frame) for frame in worst]


def _warning(load: Load, frame: int) -> Mark:
    time_s = frame / load.fps
    if load.over[frame]:
        share = load.supply_a[frame] / load.rated_a
        supply = int(np.nanargmax(share))
        text = f"{load.names[supply]} over its rating: {100 * share[supply]:.0f} %"
        return Mark("over", time_s, text, load.pixel_of(supply))
    column = int(load.strained_by[frame]) if len(load.strained_by) else -1
    name = load.limits[column] if 0 <= column < len(load.limits) else load.limit
    return Mark("past", time_s, f"past a limit: {name}", load.pixel_of(column))
