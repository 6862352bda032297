"""Chance without state: every random number is a hash of what it belongs to."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from effects.place import LayerPlace
from layouts.kept_with import kept_with_first

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

    E.g. (seed, pixel (M,), step (T, 1)) → (T, M). Steps count from 0 up, so what a pixel keeps
    for itself is drawn with negative numbers; with the number of a step it would be that draw.
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
    phase = phase + share(key)
    step = np.floor(phase)
    part = (phase - step).astype(np.float32)
    # Both ends of the step in one go: for few pixels the number of calls is what takes time.
    ends = chance(key, np.concatenate([step, step + 1]).astype(np.int64))
    here, there = np.split(ends, 2)
    part = part * part * (np.float32(3) - (part + part))
    there -= here
    there *= part
    there += here
    return there


def patches(phase: np.ndarray, xy_m: np.ndarray, size_m: float, seed: int) -> np.ndarray:
    """Smooth noise over the plane that changes with `phase`, (T, M) float32 in 0..1.

    `phase` (T, 1) float64, `xy_m` (M, 2), `size_m` of a patch. Hashed values at the corners of
    a square grid are joined by smooth steps in both directions and in time; the corners about the
    pixels are few, so they are worked out first and then looked up. The grid stands askew
    (3, 4, 5) because eaves are level: along one of its own lines the noise would look ruled.
    """
    return _between(phase, _mesh(xy_m, size_m, seed))


def patches_of(place: LayerPlace, phase: np.ndarray, size_m: float, seed: int) -> np.ndarray:
    """`patches` of a layer's pixels, whose corners are found once and kept with its place."""
    return _between(phase, mesh_of(place, size_m, seed))


class Mesh(NamedTuple):
    """Where (M,) pixels stand between the corners of a grid; F corners are about them."""

    key: np.ndarray  # (F,) hashes
    corners: tuple[np.ndarray, ...]  # four of (M,) intp: low left, low right, high left, high right
    right: np.ndarray  # (M,) float32, smooth step from left to right
    up: np.ndarray  # (M,) float32, from low to high


def _mesh(xy_m: np.ndarray, size_m: float, seed: int) -> Mesh:
    x, y = xy_m[:, 0] * np.float32(1 / size_m), xy_m[:, 1] * np.float32(1 / size_m)
    column, u = _cells(np.float32(0.8) * x - np.float32(0.6) * y)
    row, v = _cells(np.float32(0.6) * x + np.float32(0.8) * y)
    left, low = int(column.min()), int(row.min())
    wide, high = int(column.max()) - left + 2, int(row.max()) - low + 2
    at = (row.astype(np.intp) - low) * wide + (column.astype(np.intp) - left)
    four = [at, at + 1, at + wide, at + (wide + 1)]
    used = np.zeros(wide * high, bool)
    for corner in four:
        used[corner] = True
    grid = np.flatnonzero(used)
    key = hashed(seed, grid % wide + left, grid // wide + low)
    number = np.cumsum(used) - 1  # of each corner among those used
    return Mesh(key, tuple(number[corner] for corner in four), u, v)


@kept_with_first
def mesh_of(place: LayerPlace, size_m: float, seed: int) -> Mesh:
    """The corners about a layer's pixels."""
    return _mesh(place.xy_m, size_m, seed)


def _between(phase: np.ndarray, mesh: Mesh) -> np.ndarray:
    value, u = ripple(phase, mesh.key), mesh.right
    a, b, c, d = (value.take(corner, axis=1) for corner in mesh.corners)
    b -= a
    b *= u
    a += b
    d -= c
    d *= u
    c += d
    c -= a
    c *= mesh.up
    a += c
    return a


def _cells(x: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """The whole number below each of (M,), and the smooth step on the way to the next."""
    cell = np.floor(x)
    part = x - cell
    return cell, part * part * (np.float32(3) - (part + part))
