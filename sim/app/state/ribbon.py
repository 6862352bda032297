"""The load of every frame, and how it is brought to the columns of the screen. Pure arrays."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np


@dataclass(frozen=True, eq=False)
class Load:
    """Amps of every supply in the frames computed so far; F frames, S supplies."""

    total_a: np.ndarray  # (F,) [A] out of all supplies; NaN where not computed yet
    supply_a: np.ndarray  # (F, S) [A]; NaN where not computed yet
    utilisation: np.ndarray  # (F,) how far towards its nearest limit; above 1 past it; NaN not yet
    limit: str  # whose limit the most strained frame comes nearest to, in words
    rated_a: np.ndarray  # (S,) [A]
    names: tuple[str, ...]
    fps: float

    @cached_property
    def ready(self) -> float:
        """The share of the frames that is computed."""
        return float(np.mean(~np.isnan(self.total_a))) if len(self.total_a) else 0.0

    @cached_property
    def over(self) -> np.ndarray:
        """(F,) bool: a supply gives more than its rating."""
        with np.errstate(invalid="ignore"):
            return np.asarray((self.supply_a > self.rated_a).any(axis=1))

    @cached_property
    def past(self) -> np.ndarray:
        """(F,) bool: something is past its limit, of a supply, wire, fuse or voltage."""
        with np.errstate(invalid="ignore"):
            return np.asarray(self.utilisation > 1.0)

    @cached_property
    def limit_passed(self) -> bool:
        """Whether anything is past its limit in any frame."""
        return bool(self.past.any())

    @cached_property
    def peak(self) -> tuple[float, float]:
        """The largest total [A] and its time [s]; zeros before anything is computed."""
        total = self.total_a
        if not len(total) or np.isnan(total).all():
            return 0.0, 0.0
        at = int(np.nanargmax(total))
        return float(total[at]), at / self.fps

    @cached_property
    def peaks(self) -> np.ndarray:
        """(S,) [A] the largest current of each supply; zeros before anything is computed."""
        filled = np.nan_to_num(self.supply_a)
        return filled.max(axis=0) if len(filled) else np.zeros(len(self.rated_a))

    @cached_property
    def fullest(self) -> tuple[str, float] | None:
        """The supply that comes nearest to its rating, and that share; None without supplies."""
        if not len(self.names):
            return None
        share = self.peaks / self.rated_a
        return self.names[int(share.argmax())], float(share.max())


@dataclass(frozen=True, eq=False)
class RecordedLoad(Load):
    """What a recorded show asked, laid along the time of the scheme on show."""

    most: tuple[float, float] = (0.0, 0.0)  # of all that was recorded [A], and when [s]

    @cached_property
    def peak(self) -> tuple[float, float]:
        """That of all that was recorded, though the ribbon may be too short to hold it."""
        return self.most


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
