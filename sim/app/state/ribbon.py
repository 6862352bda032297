"""The load of every frame, and how it is brought to the columns of the screen. Pure arrays."""

from __future__ import annotations

from dataclasses import KW_ONLY, dataclass, field, replace
from functools import cached_property

import numpy as np

from layouts.catalogue import limits
from sim.report.limits_told import limit_told


@dataclass(frozen=True)
class PeakBand:
    """Between which shares of a peak 95 % of all cases lie: of all supplies, and of each."""

    total: tuple[float, float]
    supplies: tuple[tuple[float, float], ...]


@dataclass(frozen=True)
class CeilingAmps:
    """The ceiling of a scheme, and what it draws there."""

    brightness: float  # 0..1
    most_a: float
    limit: str  # what is at its limit there; "" where full brightness is fine
    band: PeakBand | None = None  # how sure its currents are; None: not known yet
    bound: str = ""  # how much what is at its limit may bear, in words

    @property
    def held_by(self) -> str:
        """What is at its limit, and how much it may bear."""
        return limit_told(self)


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
    _: KW_ONLY
    brightness: float = 1.0  # it was computed at
    idle_a: np.ndarray = field(default_factory=lambda: np.zeros(0))  # (S,) [A] every pixel dark
    strained_by: np.ndarray = field(default_factory=lambda: np.zeros(0, np.int32))  # (F,) which
    limits: tuple[str, ...] = ()  # limit that is, of these, in words
    limit_pixels: tuple[int, ...] = ()  # a pixel that each limit is about; -1: none
    about: np.ndarray | None = None  # (F,) bool: rescaled from another brightness, not computed
    ceiling: CeilingAmps | None = None  # once it is known
    broken: int = 0  # how many things are broken in the house that it is of

    @cached_property
    def guessed(self) -> np.ndarray:
        """(F,) bool: what stands there is only about right."""
        return np.zeros(len(self.total_a), bool) if self.about is None else self.about

    @cached_property
    def ready(self) -> float:
        """The share of the frames that is computed."""
        computed = ~np.isnan(self.total_a) & ~self.guessed
        return float(np.mean(computed)) if len(computed) else 0.0

    @property
    def whole(self) -> bool:
        """Whether every frame is computed."""
        return self.ready == 1.0

    def pixel_of(self, limit: int) -> int | None:
        """A pixel of the house that a limit is about, by its number."""
        pixel = self.limit_pixels[limit] if 0 <= limit < len(self.limit_pixels) else -1
        return pixel if pixel >= 0 else None

    @cached_property
    def room(self) -> tuple[str, float] | None:
        """The supply with the least room to its lasting load, and that room [A]; None without
        supplies or before anything is known."""
        if not len(self.names) or np.isnan(self.total_a).all():
            return None
        allowed_a = limits().supply_load * self.rated_a
        least = int((self.peaks / allowed_a).argmax())
        return self.names[least], float(allowed_a[least] - self.peaks[least])

    @cached_property
    def over(self) -> np.ndarray:
        """(F,) bool: a supply gives more than its rating."""
        over = np.zeros(len(self.supply_a), bool)
        for supply in np.flatnonzero(self.peaks > self.rated_a):  # the others never do
            over |= self.supply_a[:, supply] > self.rated_a[supply]
        return over

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
        if not len(self.supply_a):
            return np.zeros(len(self.rated_a))
        # column by column: numpy is slow along an axis of two or three
        return np.array([_largest(self.supply_a[:, s]) for s in range(len(self.rated_a))])

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


def _largest(values: np.ndarray) -> float:
    """The largest, where what is not known yet counts as 0."""
    largest = float(values.max())
    return largest if largest == largest else float(np.fmax.reduce(values, initial=0.0))


def rescaled(load: Load, brightness: float) -> Load:
    """About what a computed curve is at another brightness: what is drawn above the dark house goes
    with the duty, so with the brightness. Rounding to codes, and volts that fall, are left out."""
    factor = brightness / load.brightness if load.brightness > 0 else 0.0
    idle_a = load.idle_a if len(load.idle_a) else np.zeros(len(load.names))
    supply_a = idle_a + (load.supply_a - idle_a) * factor
    rest_a = float(idle_a.sum())
    total_a = rest_a + (load.total_a - rest_a) * factor
    return replace(
        load,
        total_a=total_a,
        supply_a=supply_a,
        utilisation=load.utilisation * factor,
        brightness=brightness,
        about=np.ones(len(total_a), bool),
    )


def merged(part: Load, about: Load | None) -> Load:
    """A curve as far as it is computed, and where it is not what is known about it."""
    if about is None or len(about.total_a) != len(part.total_a) or part.whole:
        return part
    gap = np.isnan(part.total_a)
    return replace(
        part,
        total_a=np.where(gap, about.total_a, part.total_a),
        supply_a=np.where(gap[:, None], about.supply_a, part.supply_a),
        utilisation=np.where(gap, about.utilisation, part.utilisation),
        about=gap,
    )


def strongest(values: np.ndarray, width: int, first: float, last: float) -> np.ndarray:
    """(width,) which value is the largest of those that fall into each column; −1: none is known.

    The columns share the values from `first` to `last`, which may lie inside one: a value k lasts
    from k to k + 1.
    """
    count = len(values)
    if count == 0 or width <= 0 or last <= first:
        return np.full(max(width, 0), -1)
    starts = _starts(count, width, first, last)
    if last - first <= width:
        return np.where(np.isnan(values[starts]), -1, starts)
    end = min(int(np.ceil(last - 1e-9)), count)
    begin = int(starts[0])
    filled = np.where(np.isnan(values[begin:end]), -np.inf, values[begin:end])
    largest = np.maximum.reduceat(filled, starts - begin)
    column = np.repeat(np.arange(width), np.diff(np.append(starts - begin, len(filled))))
    hits = np.flatnonzero(filled == largest[column])
    of = column[hits]
    first_hit = np.flatnonzero(np.diff(of, prepend=-1))  # they stand in order
    found = np.full(width, -1)
    found[of[first_hit]] = hits[first_hit] + begin
    return np.where(np.isinf(largest), -1, found)


def columns(
    values: np.ndarray, width: int, first: float = 0.0, last: float | None = None
) -> np.ndarray:
    """(width,) the largest of the values that fall into each column, so that no peak is lost.

    NaN where nothing is computed yet. With fewer values than columns each is held.
    """
    at = strongest(values, width, first, len(values) if last is None else last)
    if not len(values):
        return np.full(len(at), np.nan)
    return np.where(at < 0, np.nan, values[at])


def anywhere(
    flags: np.ndarray, width: int, first: float = 0.0, last: float | None = None
) -> np.ndarray:
    """(width,) bool: whether any of the flags that fall into each column is set."""
    last = len(flags) if last is None else last
    if width <= 0 or last <= first or not flags.any():
        return np.zeros(max(width, 0), bool)
    starts = _starts(len(flags), width, first, last)
    if last - first <= width:
        return np.asarray(flags[starts])
    begin = int(starts[0])
    seen = flags[begin : min(int(np.ceil(last - 1e-9)), len(flags))]
    return np.asarray(np.logical_or.reduceat(seen, starts - begin))


def _starts(count: int, width: int, first: float, last: float) -> np.ndarray:
    """(width,) the first of `count` values that falls into each column."""
    edges = first + np.arange(width) * ((last - first) / width)
    return np.clip(np.floor(edges + 1e-9).astype(np.int64), 0, count - 1)


def stretches(over: np.ndarray) -> list[tuple[int, int]]:
    """[start, end) of every stretch of True."""
    padded = np.concatenate(([False], np.asarray(over, bool), [False]))
    edges = np.flatnonzero(padded[1:] != padded[:-1])
    return [(int(start), int(end)) for start, end in edges.reshape(-1, 2)]
