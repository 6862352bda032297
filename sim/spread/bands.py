"""From draws to bands: the interval that holds a share of them, by the two rules of the guide.

JCGM 101:2008, 7.7: of M sorted values and q = p·M, the intervals from value r to value r + q. The
probabilistically symmetric one has r = (M − q)/2; the shortest is the least wide of all. How far
the ends may be off by the number of draws follows from order statistics: how many of M values lie
below a quantile is binomial.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

#: The share that a band holds where nothing else is said.
USUAL = 0.95
#: Standard deviations of a Gaussian between which 95 % lie.
COVERS = 1.959963984540054


@dataclass(frozen=True)
class Band:
    """What draws of one figure come to."""

    mean: float
    sd: float  # the standard uncertainty
    low: float  # of the symmetric interval
    high: float
    short_low: float  # of the shortest
    short_high: float
    low_error: tuple[float, float]  # between which the low end lies, for the number of draws (95 %)
    high_error: tuple[float, float]
    draws: int

    @property
    def pair(self) -> tuple[float, float]:
        """The symmetric interval."""
        return self.low, self.high


def band(values: np.ndarray, share: float = USUAL) -> Band:
    """The band of values (M,); ValueError below 2 of them."""
    if len(values) < 2:
        raise ValueError("a band needs two draws or more")
    ranked = np.sort(values)
    low, high = symmetric(ranked, share)
    short = shortest(ranked, share)
    tail = (1 - share) / 2
    return Band(
        mean=float(values.mean()),
        sd=float(values.std(ddof=1)),
        low=low,
        high=high,
        short_low=short[0],
        short_high=short[1],
        low_error=_error(ranked, tail),
        high_error=_error(ranked, 1 - tail),
        draws=len(values),
    )


def _held(count: int, share: float) -> int:
    """q: how many steps of `count` sorted values the interval spans (7.7.2, 5.3.3)."""
    return min(int(share * count + 0.5), count - 1)


def symmetric(ranked: np.ndarray, share: float = USUAL) -> tuple[float, float]:
    """The probabilistically symmetric interval of sorted values (M,)."""
    count = len(ranked)
    held = _held(count, share)
    # (M − q)/2 counts values from 1; a half is rounded up.
    first = max((count - held + 1) // 2, 1) - 1
    return float(ranked[first]), float(ranked[min(first + held, count - 1)])


def shortest(ranked: np.ndarray, share: float = USUAL) -> tuple[float, float]:
    """The shortest interval of sorted values (M,)."""
    held = _held(len(ranked), share)
    wide = ranked[held:] - ranked[: len(ranked) - held]
    first = int(wide.argmin())
    return float(ranked[first]), float(ranked[first + held])


def _error(ranked: np.ndarray, chance: float) -> tuple[float, float]:
    """Values between which a quantile lies with 95 %, by order statistics."""
    from scipy.special import bdtrik

    count = len(ranked)
    few, many = np.ceil(bdtrik(np.array([0.025, 0.975]), count, chance))
    # Counted from 1: the one that has `few` below it or at it, and the one behind `many`.
    first = int(np.clip(few - 1, 0, count - 1))
    last = int(np.clip(many, 0, count - 1))
    return float(ranked[first]), float(ranked[last])


def chance_of(happened: np.ndarray) -> tuple[float, float, float]:
    """Share of draws (M,) bool in which something happened, and its 95 % interval (Wilson 1927)."""
    count, share = len(happened), float(np.mean(happened))
    z = COVERS
    middle = (share + z * z / (2 * count)) / (1 + z * z / count)
    half = z * np.sqrt(share * (1 - share) / count + z * z / (4 * count**2)) / (1 + z * z / count)
    return share, float(max(0.0, middle - half)), float(min(1.0, middle + half))
