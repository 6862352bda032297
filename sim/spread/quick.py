"""The bands of peak, least volts and ceiling with a handful of draws through the circuit.

From what each unknown does alone (`first_order`), in the frames that come nearest to a limit.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sim.circuit import Ceiling
from sim.circuit.limits import BACKFED_A
from sim.scan import Scan

from .bands import USUAL, symmetric
from .draws import Draws
from .first_order import SUMMED, FirstOrder, first_order
from .frames import ShownFrames, shown
from .trials import Trials, of_draws
from .unknowns import Unknowns, unknowns

#: Of the nominal ceiling: where limits are looked at to see at which brightness they are passed.
_AROUND = (0.75, 0.88, 1.0, 1.1, 1.25)

Pair = tuple[float, float]


@dataclass(frozen=True, eq=False)
class QuickBands:
    """95 % bands of S supplies, W wires and R runs, and of the whole house."""

    supply_peak_a: np.ndarray  # (S, 2) [A]
    wire_peak_a: np.ndarray  # (W, 2) [A]
    run_min_v: np.ndarray  # (R, 2) [V]
    peak_a: Pair  # of all pixels together [A]
    ceiling: Pair | None  # 0..1; None without supplies, and where even a dark house exceeds a limit
    first: FirstOrder  # columns: total, supplies, wires, runs


def loads_of(found: Trials) -> np.ndarray:
    """(D, 1 + S + W + R): peak of all [A], of each supply and wire [A], least volts of each run."""
    total_a = found.run_a.sum(axis=2).max(axis=1)
    parts = (found.supply_a.max(axis=1), found.wire_a.max(axis=1), found.run_v.min(axis=1))
    return np.column_stack([total_a, *parts])


def limits_of(found: Trials) -> np.ndarray:
    """(D, columns) how far each goes towards its limit, colour lost counted without its step."""
    runs = found.full_used.shape[2]
    used = found.used.max(axis=1)
    lost = found.full_used.max(axis=1)
    smooth = np.where(used[:, -runs:] <= 1, used[:, -runs:], np.minimum(used[:, -runs:], 2.0))
    # Past its step `used` says 2 − dim; up to there volts tell better how near it is.
    smooth = np.where(lost > 1, np.maximum(lost, 1.0), smooth)
    supplies = found.supply_a.shape[2]
    # Infinite as soon as a supply is pushed; how near that is, its least current says.
    used[:, supplies : 2 * supplies] = -found.supply_a.min(axis=1) / BACKFED_A
    return np.concatenate([used[:, :-runs], np.maximum(smooth, lost)], axis=1)


def quick_bands(watched: Scan, ceiling: Ceiling | None) -> QuickBands:
    """The bands of a scan; `ceiling` is what was found for it."""
    known, frames = unknowns(watched.rig.house), shown(watched, even=0)
    network, load = watched.rig.network, frames.supply_load
    used_at: list[Trials] = []

    def figures(drawn: Draws) -> np.ndarray:
        found = of_draws(network, drawn, frames.codes, supply_load=load)
        used_at.append(found)
        return loads_of(found)

    first = first_order(known, figures)
    found = first.bands()
    supplies, wires = len(watched.supplies), len(watched.wires)
    ends = np.cumsum([1, supplies, wires])
    total, supply, wire, run = np.split(found, ends)
    return QuickBands(
        supply_peak_a=supply,
        wire_peak_a=wire,
        run_min_v=run,
        peak_a=(float(total[0, 0]), float(total[0, 1])),
        ceiling=None
        if ceiling is None or ceiling.brightness == 0
        else symmetric(np.sort(quick_ceilings(frames, known, ceiling, now=used_at[0]))),
        first=first,
    )


def quick_ceilings(
    frames: ShownFrames,
    known: Unknowns,
    nominal: Ceiling,
    *,
    now: Trials | None = None,
    sums: Callable[[FirstOrder], np.ndarray] = FirstOrder.values,
) -> np.ndarray:
    """(draws,) the brightness at which the first limit is passed, of effects at a few levels.

    `now`: the frames at the brightness watched, where that is known; `sums` draws the effects.
    """
    network, load = frames.watched.rig.network, frames.supply_load
    now_at = frames.watched.brightness

    def worst(level: float) -> np.ndarray:
        """(draws,) how far the limit that is nearest is gone towards at a brightness."""

        def figures(drawn: Draws) -> np.ndarray:
            if now is not None and level == now_at:
                return limits_of(now)
            return limits_of(of_draws(network, drawn, frames.codes_at(level), supply_load=load))

        found = first_order(known, figures)
        keep = np.isfinite(found.at_means)
        if not keep.all():
            return np.full(SUMMED, np.inf)
        # What never comes near its limit need not be summed.
        wide = 4 * (found.sd + found.rest_sd)
        near = found.at_means + wide >= (found.at_means - wide).max()
        return np.asarray(sums(found.some(near)).max(axis=1))

    at_full = worst(1.0)
    tail = (1 - USUAL) / 2
    if np.quantile(at_full, 1 - tail) <= 1:
        return np.ones(len(at_full))
    levels = sorted({min(1.0, nominal.brightness * part) for part in _AROUND} | {1.0})
    tried = (worst(level) if level < 1 else at_full for level in levels)
    grid = np.array(np.broadcast_arrays(*tried))
    past = grid > 1
    index = past.argmax(axis=0)
    draws = np.arange(grid.shape[1])
    before = np.maximum(index - 1, 0)
    low_b, high_b = np.array(levels)[before], np.array(levels)[index]
    low_u, high_u = grid[before, draws], grid[index, draws]
    with np.errstate(divide="ignore", invalid="ignore"):
        part = np.where(index > 0, (1 - low_u) / (high_u - low_u), 0.0)
    # Below the lowest level what is used is taken to fall with brightness.
    under = np.array(levels)[0] / np.maximum(grid[0], 1e-9)
    found = np.where(index > 0, low_b + part * (high_b - low_b), under)
    return np.where(past.any(axis=0), np.minimum(found, 1.0), 1.0)
