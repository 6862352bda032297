"""The law of propagation of uncertainty: JCGM 100:2008, clauses 5 and G.

For any function of a few quantities; `first_order` uses it for a house.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .percentage_points import percentage_points


@dataclass(frozen=True, eq=False)
class Propagated:
    """What follows from U input quantities for one output."""

    value: float  # at the estimates
    sd: float  # combined standard uncertainty
    slope: np.ndarray  # (U,) sensitivity coefficients
    parts: np.ndarray  # (U,) slope times standard uncertainty

    def interval(self, cover: float) -> tuple[float, float]:
        """From value − cover·sd to value + cover·sd."""
        return self.value - cover * self.sd, self.value + cover * self.sd


def propagate(
    model: Callable[..., float],
    at: np.ndarray,
    sds: np.ndarray,
    correlation: np.ndarray | None = None,
    *,
    second: bool = False,
) -> Propagated:
    """First order (5.1.2, 5.2.2), by moving each quantity one standard uncertainty (5.1.3 note 2).

    `second` adds the next terms (5.1.2 note), for quantities that are not correlated.
    """
    value = float(model(*at))
    step = np.where(sds > 0, sds, 1.0)

    def moved(*moves: tuple[int, float]) -> float:
        where = at.copy()
        for index, part in moves:
            where[index] += part * step[index]
        return float(model(*where))

    count = range(len(at))
    up, down = np.array([[moved((i, sign)) for i in count] for sign in (1.0, -1.0)])
    slope = (up - down) / (2 * step)
    parts = slope * sds
    square = combined(parts, correlation) ** 2
    if second:
        square += _second(moved, value, up, down, step, sds)
    return Propagated(value, float(np.sqrt(square)), slope, parts)


def combined(parts: np.ndarray, correlation: np.ndarray | None = None) -> np.ndarray:
    """Of contributions (U, …): the root of their sum of squares, with correlation (U, U)."""
    if correlation is None:
        return np.asarray(np.sqrt((parts**2).sum(axis=0)))
    square = np.einsum("i...,ij,j...->...", parts, correlation, parts)
    return np.asarray(np.sqrt(np.maximum(square, 0.0)))


def _second(
    moved: Callable[..., float],
    value: float,
    up: np.ndarray,
    down: np.ndarray,
    step: np.ndarray,
    sds: np.ndarray,
) -> float:
    """Σᵢⱼ (½·fᵢⱼ² + fᵢ·fᵢⱼⱼ)·uᵢ²·uⱼ², by central differences over one step."""
    count = range(len(step))
    first = (up - down) / 2  # all in units of the steps
    total = 0.0
    for i in count:
        for j in count:
            if i == j:
                mixed = up[i] + down[i] - 2 * value
                third = 2.0 * (moved((i, 2.0)) - moved((i, -2.0)) - 2 * (up[i] - down[i])) / 4
            else:
                corner = {(a, b): moved((i, a), (j, b)) for a in (1.0, -1.0) for b in (1.0, -1.0)}
                mixed = (corner[1, 1] - corner[1, -1] - corner[-1, 1] + corner[-1, -1]) / 4
                third = (
                    (corner[1, 1] + corner[1, -1] - 2 * up[i])
                    - (corner[-1, 1] + corner[-1, -1] - 2 * down[i])
                ) / 2
            real = (sds[i] > 0) and (sds[j] > 0)
            total += (0.5 * mixed**2 + first[i] * third) * real
    return total


def effective_dof(parts: np.ndarray, dof: np.ndarray) -> float:
    """Effective degrees of freedom (Welch-Satterthwaite, G.4.1); `dof` may be infinite."""
    return float((parts**2).sum() ** 2 / (parts**4 / dof).sum())


def coverage(share: float, dof: float = np.inf) -> float:
    """The factor that covers `share` (G.3): of Student's t, or of a Gaussian; dof truncated."""
    chance = (1 + share) / 2
    if np.isinf(dof):
        return float(percentage_points(np.array(chance)))
    from scipy.special import stdtrit

    return float(stdtrit(int(dof), chance))
