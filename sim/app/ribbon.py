"""The load of every frame, and how it is brought to the columns of the screen. Pure arrays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

#: Share of a rating that a supply is loaded with for hours on end.
CONTINUOUS = 0.8  # common practice; `sim.circuit` checks the same share


@dataclass(frozen=True, eq=False)
class Load:
    """Amps of every supply in the frames computed so far; F frames, S supplies."""

    total_a: np.ndarray  # (F,) [A] out of all supplies; NaN where not computed yet
    supply_a: np.ndarray  # (F, S) [A]; NaN where not computed yet
    rated_a: np.ndarray  # (S,) [A]
    names: tuple[str, ...]
    fps: float

    @property
    def ready(self) -> float:
        """The share of the frames that is computed."""
        return float(np.mean(~np.isnan(self.total_a))) if len(self.total_a) else 0.0

    @property
    def load(self) -> np.ndarray:
        """(F,) the largest share of its own rating that any supply gives."""
        if not len(self.rated_a):
            return np.zeros(len(self.total_a))
        return (self.supply_a / self.rated_a).max(axis=1)

    def peak(self) -> tuple[float, float]:
        """The largest total [A] and its time [s]; zeros before anything is computed."""
        total = self.total_a
        if not len(total) or np.isnan(total).all():
            return 0.0, 0.0
        at = int(np.nanargmax(total))
        return float(total[at]), at / self.fps

    def peaks(self) -> np.ndarray:
        """(S,) [A] the largest current of each supply; zeros before anything is computed."""
        filled = np.nan_to_num(self.supply_a)
        return filled.max(axis=0) if len(filled) else np.zeros(len(self.rated_a))

    def worst(self) -> tuple[str, float] | None:
        """The supply with the largest load and that load; None before anything is computed."""
        share = self.supply_a / self.rated_a
        if not share.size or np.isnan(share).all():
            return None
        at = int(np.nanargmax(np.nanmax(share, axis=0)))
        return self.names[at], float(np.nanmax(share[:, at]))


def columns(values: np.ndarray, width: int) -> np.ndarray:
    """(width,) the largest of the values that fall into each column, so that no peak is lost.

    NaN where nothing is computed yet. With fewer values than columns each is held.
    """
    count = len(values)
    if count == 0 or width <= 0:
        return np.full(max(width, 0), np.nan)
    if count <= width:
        return values[np.arange(width) * count // width]
    edges = np.arange(width) * count // width
    filled = np.where(np.isnan(values), -np.inf, values)
    largest = np.maximum.reduceat(filled, edges)
    return np.where(np.isinf(largest), np.nan, largest)


def stretches(over: np.ndarray) -> list[tuple[int, int]]:
    """[start, end) of every stretch of True."""
    padded = np.concatenate(([False], np.asarray(over, bool), [False]))
    edges = np.flatnonzero(padded[1:] != padded[:-1])
    return [(int(start), int(end)) for start, end in edges.reshape(-1, 2)]
