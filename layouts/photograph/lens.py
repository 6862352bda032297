"""What a lens does to a picture: straight lines bend, the more the farther from the middle.

Brown's model (Brown 1966, Conrady 1919, from memory): with r² = x² + y²

    x_d = x·(1 + k₁r² + k₂r⁴ + k₃r⁶) + 2p₁xy + p₂(r² + 2x²)
    y_d = y·(1 + k₁r² + k₂r⁴ + k₃r⁶) + p₁(r² + 2y²) + 2p₂xy

(x, y) is where a perfect lens would put a point, (x_d, y_d) where it is seen. Of a picture the
coordinates count from its middle in half diagonals, so that r = 1 in its corners and k₁, k₂ stay
the same when the picture is made smaller. k₁ < 0 is a barrel, k₁ > 0 a pincushion.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

NONE = (0.0, 0.0)  # a lens without distortion
ROUNDS = 300  # a fixed point is followed for at most so many steps
SETTLED = 1e-13  # of half a diagonal: nothing moves any more


def distort(xy: np.ndarray, k: Sequence[float], p: Sequence[float] = NONE) -> np.ndarray:
    """(..., 2) where a perfect lens puts points -> (..., 2) where they are seen."""
    xy = np.asarray(xy, dtype=float)
    x, y = xy[..., 0], xy[..., 1]
    r2 = x * x + y * y
    grown = _grown(r2, k)
    p1, p2 = p
    return np.stack(
        [
            x * grown + 2 * p1 * x * y + p2 * (r2 + 2 * x * x),
            y * grown + p1 * (r2 + 2 * y * y) + 2 * p2 * x * y,
        ],
        axis=-1,
    )


def undistort(
    xy: np.ndarray, k: Sequence[float], p: Sequence[float] = NONE, *, rounds: int = ROUNDS
) -> np.ndarray:
    """(..., 2) where points are seen -> (..., 2) where a perfect lens would put them.

    By fixed point: the error shrinks by about 2|k₁|r² a round; it stops where nothing moves.
    """
    seen = np.asarray(xy, dtype=float)
    found = seen
    for _ in range(rounds):
        r2 = np.sum(found * found, axis=-1, keepdims=True)
        shift = distort(found, (), p) - found  # what p does alone
        before, found = found, (seen - shift) / _grown(r2, k)
        if np.abs(found - before).max(initial=0.0) < SETTLED:
            break
    return found


def turns_back_at(k: Sequence[float]) -> float:
    """The radius at which the picture folds over itself, inf where it never does.

    The smallest root of d(r·(1 + k₁r² + …))/dr; nothing beyond it can be seen by that lens.
    """
    slope = [(2 * power + 1) * each for power, each in enumerate((1.0, *k))]
    roots = np.roots(slope[::-1]) if any(k) else np.zeros(0)
    squared = roots.real[(np.abs(roots.imag) < 1e-12) & (roots.real > 0)]
    return math.sqrt(float(squared.min())) if len(squared) else math.inf


def covers_picture(k: Sequence[float]) -> bool:
    """Whether such a lens can have taken the whole picture, out to its corners (r_d = 1)."""
    edge = turns_back_at(k)
    return math.isinf(edge) or edge * float(_grown(np.array(edge * edge), k)) > 1.0


def lens_coordinates(pixel: np.ndarray, size_px: tuple[int, int]) -> np.ndarray:
    """(..., 2) pixels -> (..., 2) from the middle of the picture, in half diagonals."""
    return (np.asarray(pixel, dtype=float) - _middle(size_px)) / _half(size_px)


def to_ideal(pixel: np.ndarray, k: Sequence[float], size_px: tuple[int, int]) -> np.ndarray:
    """(..., 2) pixels as seen -> (..., 2) pixels as a perfect lens would have put them."""
    if not any(k):
        return np.asarray(pixel, dtype=float)
    return undistort(lens_coordinates(pixel, size_px), k) * _half(size_px) + _middle(size_px)


def to_seen(pixel: np.ndarray, k: Sequence[float], size_px: tuple[int, int]) -> np.ndarray:
    """The way back from `to_ideal`; nan where the lens folds over and nothing is seen."""
    if not any(k):
        return np.asarray(pixel, dtype=float)
    ideal = lens_coordinates(pixel, size_px)
    with np.errstate(invalid="ignore"):
        outside = np.sum(ideal * ideal, axis=-1, keepdims=True) >= turns_back_at(k) ** 2
    seen = distort(ideal, k) * _half(size_px) + _middle(size_px)
    return np.where(outside, np.nan, seen)


def _grown(r2: np.ndarray, k: Sequence[float]) -> np.ndarray:
    """1 + k₁r² + k₂r⁴ + …"""
    grown = np.ones_like(r2)
    power = r2
    for each in k:
        grown = grown + each * power
        power = power * r2
    return grown


def _middle(size_px: tuple[int, int]) -> np.ndarray:
    return np.array(size_px, dtype=float) / 2


def _half(size_px: tuple[int, int]) -> float:
    return math.hypot(*size_px) / 2
