"""A connected network as arrays, as compiled and plain code read it."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np


class Pattern(NamedTuple):
    """A connected network as arrays, in elimination order; see `sim.circuit.order.Elimination`."""

    node: np.ndarray  # (M,) int64
    column: np.ndarray  # (M + 1,) int64
    row: np.ndarray  # (Z,) int64
    product: np.ndarray  # (M + 1,) int64
    target: np.ndarray  # int64
    diagonal_s: np.ndarray  # (M,)
    entry_s: np.ndarray  # (Z,)
    push_a: np.ndarray  # (M,)
