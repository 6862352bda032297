"""Distributions as functions: from chances to values.

Sources: JCGM 101:2008, 6.4 (rectangular 6.4.2, triangular 6.4.5, Gaussian 6.4.7); the log-uniform
is the exponential of a rectangular one.
"""

from __future__ import annotations

import numpy as np

from layouts.spread import Distribution

from .percentage_points import percentage_points

#: A chance of nothing or of everything has no finite value of a Gaussian.
_LEAST = 2.0**-54


def quantile(shape: Distribution, chance: np.ndarray) -> np.ndarray:
    """The values that `shape` stays below with these chances, 0..1; any shape of array."""
    a, b = shape.a, shape.b
    if shape.form == "exact":
        return np.full(np.shape(chance), a)
    if shape.form == "normal":
        return np.asarray(a + b * to_normal(chance))
    if shape.form == "log_uniform":
        return np.asarray(a * (b / a) ** chance)
    if shape.form == "triangular":
        rising = np.sqrt(np.maximum(chance, 0.0) / 2)
        falling = 1 - np.sqrt(np.maximum(1 - chance, 0.0) / 2)
        return np.asarray(a + (b - a) * np.where(chance < 0.5, rising, falling))
    return np.asarray(a + (b - a) * chance)


def to_normal(chance: np.ndarray) -> np.ndarray:
    """Standard Gaussian values of these chances."""
    return percentage_points(np.clip(chance, _LEAST, 1 - _LEAST))


def to_chance(normal: np.ndarray) -> np.ndarray:
    """The other way."""
    from scipy.special import ndtr

    return np.asarray(ndtr(normal))
