"""Chance without state: every random number is a hash of what it belongs to."""

from __future__ import annotations

import numpy as np

_STEP = np.uint32(0x9E3779B9)  # 2^32 / golden ratio: spreads neighbouring numbers


def _mixed(h: np.ndarray) -> np.ndarray:
    """The final mix of MurmurHash3 (Appleby, public domain): a bijection of uint32."""
    h = h ^ (h >> np.uint32(16))
    h *= np.uint32(0x85EBCA6B)
    h ^= h >> np.uint32(13)
    h *= np.uint32(0xC2B2AE35)
    h ^= h >> np.uint32(16)
    return h


def _word(part: int | np.ndarray) -> np.ndarray:
    """`part` as uint32 of at least one dimension (numpy warns where a scalar wraps round)."""
    if isinstance(part, np.ndarray):
        return np.atleast_1d(part).astype(np.uint32)
    return np.array([part & 0xFFFFFFFF], np.uint32)


def hashed(*parts: int | np.ndarray) -> np.ndarray:
    """One uint32 from whole numbers, broadcast together, e.g. (seed, pixel (N,), step (T, 1))."""
    h = np.array([0x5BD1E995], np.uint32)
    for part in parts:
        h = _mixed((h + _STEP) ^ (_word(part) * _STEP))
    return h


def chance(*parts: int | np.ndarray) -> np.ndarray:
    """A float32 in 0..1 (1 left out) from whole numbers, broadcast together."""
    return (hashed(*parts) >> np.uint32(8)) * np.float32(2.0**-24)


def ripple(phase: np.ndarray, *key: int | np.ndarray) -> np.ndarray:
    """Smooth noise in time, 0..1: hashed values at whole `phase` joined by smooth steps.

    `phase` (T, 1) or (T, N) float64, `key` whole numbers broadcast against it. Its steepest
    change is 1.5 per unit of phase.
    """
    step = np.floor(phase)
    part = (phase - step).astype(np.float32)
    step = step.astype(np.int64)
    here, there = chance(*key, step), chance(*key, step + 1)
    part = part * part * (np.float32(3) - np.float32(2) * part)
    return here + (there - here) * part


def patches(phase: np.ndarray, xy_m: np.ndarray, size_m: float, seed: int) -> np.ndarray:
    """Smooth noise over the plane that changes with `phase`, (T, M) float32 in 0..1.

    `phase` (T, 1) float64, `xy_m` (M, 2), `size_m` of a patch. Hashed values at the corners of
    a square grid are joined by smooth steps in both directions and in time; the corners are few,
    so they are worked out once and then looked up for every pixel.
    """
    grid = np.asarray(xy_m, np.float64) / size_m
    cell = np.floor(grid)
    part = (grid - cell).astype(np.float32)
    part = part * part * (np.float32(3) - np.float32(2) * part)
    low = cell.min(axis=0)
    wide, high = (cell.max(axis=0) - low + 2).astype(int)
    column = low[0] + np.arange(wide * high) % wide
    row = low[1] + np.arange(wide * high) // wide
    corner = ripple(phase, hashed(seed, column.astype(np.int64), row.astype(np.int64)))
    at = (cell - low) @ np.array([1, wide])
    at = at.astype(np.intp)
    u, v = part.T
    below = _between(corner, at, at + 1, u)
    above = _between(corner, at + wide, at + wide + 1, u)
    above -= below
    above *= v
    below += above
    return below


def _between(corner: np.ndarray, one: np.ndarray, other: np.ndarray, u: np.ndarray) -> np.ndarray:
    """Values at corners `one` and `other` mixed by `u`."""
    a, b = corner.take(one, axis=1), corner.take(other, axis=1)
    b -= a
    b *= u
    a += b
    return a
