"""The quick way: what each unknown does alone, one after another, and what follows from that.

Every unknown is moved by one standard uncertainty up and down (JCGM 100:2008, 5.1.3 note 2). Half
the difference is its share of the combined standard uncertainty, u² = Σ(c·u)² (5.1.2; correlated
unknowns as in 5.2.2); what the two moves have in common says how bent the figure is along it. What
each pixel has of its own is moved all at once, up or down by chance: of linear effects that gives
their sum of squares. The band is that of the sum of these effects, each unknown with its own
distribution; a few true draws show whether effects add up, and by what curve they do not.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace

import numpy as np

from .bands import USUAL, symmetric
from .draws import Draws, common_draws, draws, fixed
from .gum import combined
from .unknowns import Unknowns

#: Sets of signs for what pixels have of their own; draws of the sum of effects, which cost nothing.
_SIGNS, SUMMED = 6, 4000
#: True draws that the sum of effects is held against, and by what part of `sd` it may be off.
_TRIED, _GOOD = 32, 0.05


@dataclass(frozen=True, eq=False)
class FirstOrder:
    """K figures: at the expectations of all unknowns, and how they follow each of U."""

    known: Unknowns
    at_means: np.ndarray  # (K,)
    at_sheet: np.ndarray  # (K,) where everything is as the sheets say
    slope: np.ndarray  # (U, K) for one unit of the unknown
    bend: np.ndarray  # (U, K) second derivative
    own_sd: np.ndarray  # (K,) from what pixels have of their own
    curve: np.ndarray  # (3, K) what the sum of effects, in units of `sd` about `at_means`, comes to
    rest_sd: np.ndarray  # (K,) what is left of true draws beside that

    @property
    def shares(self) -> np.ndarray:
        """(U, K) [of the figure] what each unknown alone contributes: |c|·u."""
        return np.abs(self.slope) * self.known.sds[:, None]

    @property
    def sd(self) -> np.ndarray:
        """(K,) the combined standard uncertainty."""
        return combined(
            np.vstack([self.slope * self.known.sds[:, None], self.own_sd]), self._matrix
        )

    @property
    def budget(self) -> np.ndarray:
        """(U + 1, K) the share of u² of each unknown, and last of what pixels have of their own.

        Of unknowns that go together each has half of what they have in common (5.2.2).
        """
        parts = np.vstack([self.slope * self.known.sds[:, None], self.own_sd])
        square = parts * (self._matrix @ parts)
        whole = square.sum(axis=0)
        return np.where(whole > 0, square / np.where(whole > 0, whole, 1.0), 0.0)

    @property
    def _matrix(self) -> np.ndarray:
        """(U + 1, U + 1) correlation of all unknowns and of what pixels have of their own."""
        at = {(each.factor, each.part): n for n, each in enumerate(self.known.common)}
        matrix = np.eye(len(at) + 1)
        for a, b, r in self.known.house.spread.correlations:
            for part in {part for _, part in at}:
                if (a, part) in at and (b, part) in at:
                    i, j = at[a, part], at[b, part]
                    matrix[i, j] = matrix[j, i] = r
        return matrix

    def summed(self, common: np.ndarray) -> np.ndarray:
        """(D, K) the sum of effects of common unknowns (D, U)."""
        off = common - self.known.means
        # What no brightness cures is infinite, and stays so.
        with np.errstate(invalid="ignore"):
            return np.asarray(self.at_means + off @ self.slope + off**2 @ self.bend / 2)

    def some(self, which: np.ndarray) -> FirstOrder:
        """Of some of the figures."""
        made = {each.name: getattr(self, each.name)[..., which] for each in fields(self)[1:]}
        return FirstOrder(self.known, **made)

    def values(self, seed: int = 0) -> np.ndarray:
        """(draws, K) of the sum of effects, along the curve that true draws follow."""
        own = np.random.default_rng([seed, 7]).standard_normal((SUMMED, 1))
        return self.sums(common_draws(self.known, SUMMED, seed), own)

    def sums(self, common: np.ndarray, own: np.ndarray) -> np.ndarray:
        """(D, K) of given draws: `common` (D, U), `own` (D, 1) in standard deviations."""
        return self.curved(self.summed(common)) + own * self.rest_sd

    def curved(self, summed: np.ndarray) -> np.ndarray:
        """(D, K) what sums of effects (D, K) come to."""
        with np.errstate(invalid="ignore"):
            x = (summed - self.at_means) / self._unit
        a, b, c = self.curve
        return np.asarray(self.at_means + self._unit * (a + b * x + c * x**2))

    @property
    def _unit(self) -> np.ndarray:
        sd = self.sd
        return np.where(np.isfinite(sd) & (sd > 0), sd, 1.0)

    def bands(self, seed: int = 0, share: float = USUAL) -> np.ndarray:
        """(K, 2) the symmetric interval of each figure."""
        ranked = np.sort(self.values(seed), axis=0)
        return np.array([symmetric(column, share) for column in ranked.T])


def first_order(known: Unknowns, figures: Callable[[Draws], np.ndarray]) -> FirstOrder:
    """How `figures` (draws → (D, K)) follow each unknown; all are asked for at once."""
    means, sds, count = known.means, known.sds, len(known.common)
    # Above and below a mean by one standard uncertainty; a rectangular one reaches √3 of it.
    moved = [means, known.nominal]
    for column in range(count):
        for sign in (1, -1):
            moved.append(np.where(np.arange(count) == column, means + sign * sds, means))
    pixels = len(known.house.pixels)
    own = np.full((len(moved), pixels), known.current_each.mean)
    own[1] = 1.0
    signs = np.random.default_rng(1).choice((-1.0, 1.0), size=(_SIGNS, pixels))
    step = signs * known.current_each.sd
    middle = known.current_each.mean
    tried = draws(known, _TRIED, seed=1)
    values = np.vstack([*moved, np.tile(means, (2 * _SIGNS, 1)), tried.common])
    pixels_own = np.vstack([own, middle + step, middle - step, tried.current_each])
    found = figures(fixed(known, values, pixels_own))
    at_means, at_sheet = found[0], found[1]
    up, down = found[2 : 2 + 2 * count : 2], found[3 : 3 + 2 * count : 2]
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = np.where(sds[:, None] > 0, (up - down) / (2 * sds[:, None]), 0.0)
        bend = np.where(sds[:, None] > 0, (up + down - 2 * at_means) / sds[:, None] ** 2, 0.0)
        after = 2 + 2 * count
        moves = (found[after : after + _SIGNS] - found[after + _SIGNS : -_TRIED]) / 2
        own_sd = np.sqrt((moves**2).mean(axis=0))
    straight = np.repeat([[0.0], [1.0], [0.0]], len(at_means), axis=1)
    made = FirstOrder(known, at_means, at_sheet, slope, bend, own_sd, straight, own_sd)
    return _corrected(made, tried.common, found[-_TRIED:])


def _corrected(made: FirstOrder, common: np.ndarray, true: np.ndarray) -> FirstOrder:
    """With the parabola through what true draws (D, K) came to, and what is left beside it.

    Effects add up as long as nothing saturates. A strip that starves draws less the more it
    starves, and then their sum goes too far.
    """
    summed, units, sds = made.summed(common), made._unit, made.sd
    curve, rest = made.curve.copy(), made.rest_sd.copy()
    for column in range(true.shape[1]):
        y, unit = true[:, column], units[column]
        if not (np.isfinite(y).all() and np.isfinite(summed[:, column]).all() and np.ptp(y) > 0):
            continue
        off = y - summed[:, column]
        if off.std() <= max(made.own_sd[column] * 1.5, _GOOD * sds[column]):
            continue
        x = (summed[:, column] - made.at_means[column]) / unit
        powers = np.stack([np.ones_like(x), x, x**2], axis=1)
        found, *_ = np.linalg.lstsq(powers, (y - made.at_means[column]) / unit, rcond=None)
        curve[:, column] = found
        left = y - made.at_means[column] - unit * powers @ found
        rest[column] = float(np.sqrt((left**2).sum() / (len(y) - 3)))
    return replace(made, curve=curve, rest_sd=rest)
