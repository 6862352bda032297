"""The quick way: what each unknown does alone, one after another, and what follows from that.

Every unknown is moved by one standard uncertainty up and down (JCGM 100:2008, 5.1.3 note 2). Half
the difference is its share of the combined standard uncertainty, u² = Σ(c·u)² (5.1.2; correlated
unknowns as in 5.2.2); what the two moves have in common says how bent the figure is along it. What
each pixel has of its own is moved all at once, up or down by chance: of linear effects that gives
their sum of squares. The band is that of the sum of these effects, each unknown with its own
distribution.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .bands import USUAL, symmetric
from .draws import Draws, common_draws, fixed
from .gum import combined
from .unknowns import Unknowns

#: Sets of signs for what pixels have of their own; draws of the sum of effects, which cost nothing.
_SIGNS, _DRAWS = 8, 4000


@dataclass(frozen=True, eq=False)
class FirstOrder:
    """K figures: at the expectations of all unknowns, and how they follow each of U."""

    known: Unknowns
    at_means: np.ndarray  # (K,)
    at_sheet: np.ndarray  # (K,) where everything is as the sheets say
    slope: np.ndarray  # (U, K) for one unit of the unknown
    bend: np.ndarray  # (U, K) second derivative
    own_sd: np.ndarray  # (K,) from what pixels have of their own

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

    def values(self, seed: int = 0) -> np.ndarray:
        """(draws, K) of the sum of effects."""
        own = np.random.default_rng([seed, 7]).standard_normal((_DRAWS, 1))
        return self.sums(common_draws(self.known, _DRAWS, seed), own)

    def sums(self, common: np.ndarray, own: np.ndarray) -> np.ndarray:
        """(D, K) of given draws: `common` (D, U), `own` (D, 1) in standard deviations."""
        off = common - self.known.means
        return np.asarray(
            self.at_means + off @ self.slope + off**2 @ self.bend / 2 + own * self.own_sd
        )

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
    values = np.vstack([*moved, np.tile(means, (2 * _SIGNS, 1))])
    found = figures(fixed(known, values, np.vstack([own, middle + step, middle - step])))
    at_means, at_sheet = found[0], found[1]
    up, down = found[2 : 2 + 2 * count : 2], found[3 : 3 + 2 * count : 2]
    with np.errstate(divide="ignore", invalid="ignore"):
        slope = np.where(sds[:, None] > 0, (up - down) / (2 * sds[:, None]), 0.0)
        bend = np.where(sds[:, None] > 0, (up + down - 2 * at_means) / sds[:, None] ** 2, 0.0)
    after = 2 + 2 * count
    moves = (found[after : after + _SIGNS] - found[after + _SIGNS :]) / 2
    own_sd = np.sqrt((moves**2).mean(axis=0))
    return FirstOrder(known, at_means, at_sheet, slope, bend, own_sd)
