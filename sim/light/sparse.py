"""Rows of the sparse matrix of light times the light of four channels, shared by the cores."""

from __future__ import annotations

import numpy as np

from sim.kernels import njit

BLOCK = 64  # rows that one core takes together, so that cores do not write side by side


@njit(inner=True, cache=True, nogil=True, fastmath=True, error_model="numpy")
def _sum(
    first: int, last: int, column: np.ndarray, weight: np.ndarray, light: np.ndarray
) -> tuple[np.float32, np.float32, np.float32, np.float32]:
    """One sparse row times (M, 4)."""
    r = g = b = w = np.float32(0)
    for i in range(first, last):
        c, t = column[i], weight[i]
        r += t * light[c, 0]
        g += t * light[c, 1]
        b += t * light[c, 2]
        w += t * light[c, 3]
    return r, g, b, w


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def product(
    first: int,
    stride: int,
    start: np.ndarray,
    column: np.ndarray,
    weight: np.ndarray,
    light: np.ndarray,
    out: np.ndarray,
) -> None:
    """Every row of core `first` times (M, 4), into `out` (rows, 4)."""
    for block in range(first * BLOCK, len(out), stride * BLOCK):
        for row in range(block, min(block + BLOCK, len(out))):
            r, g, b, w = _sum(start[row], start[row + 1], column, weight, light)
            out[row, 0] = r
            out[row, 1] = g
            out[row, 2] = b
            out[row, 3] = w


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def shine(
    first: int,
    stride: int,
    start: np.ndarray,
    column: np.ndarray,
    weight: np.ndarray,
    light: np.ndarray,
    colour: np.ndarray,
    sheet: np.ndarray,
    out: np.ndarray,
) -> None:
    """The same, each kind's light through `colour` (kinds, sheets, 4, 3), added to `out` (P, 3)."""
    kinds = len(colour)
    for block in range(first * BLOCK, len(out), stride * BLOCK):
        for p in range(block, min(block + BLOCK, len(out))):
            for k in range(kinds):
                row = p * kinds + k
                r, g, b, w = _sum(start[row], start[row + 1], column, weight, light)
                c = colour[k, sheet[p]]
                for i in range(3):
                    out[p, i] += r * c[0, i] + g * c[1, i] + b * c[2, i] + w * c[3, i]
