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


def hashed(seed: int | np.ndarray, *parts: int | np.ndarray) -> np.ndarray:
    """One uint32 from a seed (or an earlier hash) and whole numbers, broadcast together.

    E.g. (seed, pixel (M,), step (T, 1)) → (T, M).
    """
    h = _word(seed)
    for part in parts:
        h = _mixed((h + _STEP) ^ (_word(part) * _STEP))
    return h


def chance(seed: int | np.ndarray, *parts: int | np.ndarray) -> np.ndarray:
    """A float32 in 0..1 (1 left out) from a seed (or an earlier hash) and whole numbers."""
    return share(hashed(seed, *parts))


def share(h: np.ndarray) -> np.ndarray:
    """A hash as a float32 in 0..1 (1 left out); its low byte stays free for another use."""
    return (h >> np.uint32(8)).astype(np.float32) * np.float32(2.0**-24)


def ripple(phase: np.ndarray, key: np.ndarray) -> np.ndarray:
    """Smooth noise in time, (T, M) float32 in 0..1: hashed values joined by smooth steps.

    `phase` (T, 1) float64, `key` (M,) hashes. Each key turns at its own moments, once a unit of
    phase; the steepest change is 1.5 per unit.
    """
    phase = phase + chance(key, -1)
    step = np.floor(phase)
    part = (phase - step).astype(np.float32)
    step = step.astype(np.int64)
    here, there = chance(key, step), chance(key, step + 1)
    part = part * part * (np.float32(3) - np.float32(2) * part)
    return here + (there - here) * part


def patches(phase: np.ndarray, xy_m: np.ndarray, size_m: float, seed: int) -> np.ndarray:
    """Smooth noise over the plane that changes with `phase`, (T, M) float32 in 0..1.

    `phase` (T, 1) float64, `xy_m` (M, 2), `size_m` of a patch. Hashed values at the corners of
    a square grid are joined by smooth steps in both directions and in time; the corners are few,
    so they are worked out once and then looked up for every pixel. The grid stands askew (3, 4, 5)
    because eaves are level: along one of its own lines the noise would look ruled.
    """
    x, y = xy_m[:, 0] * np.float32(1 / size_m), xy_m[:, 1] * np.float32(1 / size_m)
    column, u = _cells(np.float32(0.8) * x - np.float32(0.6) * y)
    row, v = _cells(np.float32(0.6) * x + np.float32(0.8) * y)
    left, low = column.min(), row.min()
    wide, high = int(column.max() - left) + 2, int(row.max() - low) + 2
    columns = np.arange(int(left), int(left) + wide)
    rows = np.arange(int(low), int(low) + high)[:, None]
    corner = ripple(phase, hashed(seed, columns, rows).ravel())
    at = ((row - low) * np.float32(wide) + (column - left)).astype(np.intp)
    below = _between(corner, at, at + 1, u)
    above = _between(corner, at + wide, at + (wide + 1), u)
    above -= below
    above *= v
    below += above
    return below


def _cells(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The whole number below each of (M,), and the smooth step on the way to the next."""
    cell = np.floor(x)
    part = x - cell
    return cell, part * part * (np.float32(3) - (part + part))


def _between(corner: np.ndarray, one: np.ndarray, other: np.ndarray, u: np.ndarray) -> np.ndarray:
    """Values at corners `one` and `other` mixed by `u`."""
    a, b = corner.take(one, axis=1), corner.take(other, axis=1)
    b -= a
    b *= u
    a += b
    return a
