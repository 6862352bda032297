"""Numbers added up by place."""

from __future__ import annotations

import numpy as np


def summed(place: np.ndarray, values: np.ndarray, size: int) -> np.ndarray:
    """(size,) float64: `values` (E,) added up where `place` (E,) says; zeros where E is 0.

    `numpy.bincount` counts in integers where there is nothing to add up, weights or not.
    """
    return np.bincount(place, values, size).astype(np.float64, copy=False)
