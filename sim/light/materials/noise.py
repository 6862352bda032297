"""Repeatable irregularity: hashes of places, never a state.

Everything takes x and y as arrays that broadcast against each other; where they are a row (1, w)
and a column (h, 1), as on any upright wall, the interpolation is done one axis at a time.
"""

from __future__ import annotations

import numpy as np

from sim.kernels import njit


def hash01(i: np.ndarray, j: np.ndarray | int, seed: int) -> np.ndarray:
    """Whole numbers -> float32 0..1, the same for the same arguments (integer mixing)."""
    h = np.asarray(i).astype(np.int64).astype(np.uint32) * np.uint32(0x9E3779B1)
    h = h ^ (np.asarray(j).astype(np.int64).astype(np.uint32) * np.uint32(0x85EBCA77))
    h = h ^ np.uint32((seed * 0xC2B2AE3D) & 0xFFFFFFFF)
    h = (h ^ (h >> np.uint32(15))) * np.uint32(0x2C1B3C6D)
    h = (h ^ (h >> np.uint32(12))) * np.uint32(0x297A2D39)
    h = h ^ (h >> np.uint32(15))
    return (h >> np.uint32(8)).astype(np.float32) * np.float32(1 / (1 << 24))


def _lattice(v: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    whole = np.floor(v)
    part = (v - whole).astype(np.float32)
    return whole.astype(np.int64), part * part * (3 - 2 * part)


def noise(x: np.ndarray, y: np.ndarray, seed: int) -> np.ndarray:
    """Smooth value noise of unit grain, float32 0..1, of the broadcast shape of x and y."""
    i, u = _lattice(np.asarray(x))
    j, v = _lattice(np.asarray(y))
    if i.ndim == 2 and i.shape[0] == 1 and j.shape[1] == 1:
        i0, j0 = i.min(), j.min()
        grid = hash01(
            np.arange(i0, i.max() + 2)[None, :], np.arange(j0, j.max() + 2)[:, None], seed
        )
        out = np.empty((len(j), i.shape[1]), dtype=np.float32)
        _between(grid, j[:, 0] - j0, v[:, 0], i[0] - i0, u[0], out)
        return out
    shape = np.broadcast_shapes(i.shape, j.shape)
    flat = (_flat(each, shape) for each in (i, u, j, v))
    out = np.empty(shape, dtype=np.float32)
    _among(*flat, np.uint32((seed * 0xC2B2AE3D) & 0xFFFFFFFF), out.reshape(-1))
    return out


def _flat(v: np.ndarray, shape: tuple[int, ...]) -> np.ndarray:
    """In a row, never to be written: for what may be written a kernel would be compiled again."""
    row = np.broadcast_to(v, shape).ravel()
    row.flags.writeable = False
    return row


@njit(cache=True, nogil=True, error_model="numpy")
def _between(
    grid: np.ndarray, j: np.ndarray, v: np.ndarray, i: np.ndarray, u: np.ndarray, out: np.ndarray
) -> None:
    """(h, w) between the values of a lattice, rows j + v and columns i + u."""
    one = np.float32(1)
    row = np.empty(grid.shape[1], dtype=np.float32)
    for y in range(len(j)):
        for k in range(len(row)):
            row[k] = grid[j[y], k] * (one - v[y]) + grid[j[y] + 1, k] * v[y]
        for x in range(len(i)):
            out[y, x] = row[i[x]] * (one - u[x]) + row[i[x] + 1] * u[x]


@njit(inner=True, cache=True, nogil=True, error_model="numpy")
def _hashed(i: int, j: int, seed: np.uint32) -> np.float32:
    """`hash01` of one place, its seed mixed before."""
    whole = np.uint64(0xFFFFFFFF)
    h = (np.uint64(i) * np.uint64(0x9E3779B1)) & whole
    h ^= (np.uint64(j) * np.uint64(0x85EBCA77)) & whole
    h ^= np.uint64(seed)
    h = ((h ^ (h >> np.uint64(15))) * np.uint64(0x2C1B3C6D)) & whole
    h = ((h ^ (h >> np.uint64(12))) * np.uint64(0x297A2D39)) & whole
    h = h ^ (h >> np.uint64(15))
    return np.float32(h >> np.uint64(8)) * np.float32(1 / (1 << 24))


@njit(cache=True, nogil=True, error_model="numpy")
def _among(
    i: np.ndarray, u: np.ndarray, j: np.ndarray, v: np.ndarray, seed: np.uint32, out: np.ndarray
) -> None:
    """The same for any places, each with the four values around it."""
    one = np.float32(1)
    for n in range(len(out)):
        a, b, s, t = i[n], j[n], u[n], v[n]
        low = _hashed(a, b, seed) * (one - s) + _hashed(a + 1, b, seed) * s
        high = _hashed(a, b + 1, seed) * (one - s) + _hashed(a + 1, b + 1, seed) * s
        out[n] = low * (one - t) + high * t


def clouds(x: np.ndarray, y: np.ndarray, seed: int, octaves: int = 3) -> np.ndarray:
    """Several grains of `noise`, each half the size and half the strength; mean about 0.5."""
    total = noise(x, y, seed)
    weight = 1.0
    for octave in range(1, octaves):
        scale = 2.0**octave
        total = total + noise(x * scale, y * scale, seed + 17 * octave) / scale
        weight += 1 / scale
    return total / np.float32(weight)


def ramp(v: np.ndarray, start: float, end: float) -> np.ndarray:
    """0 before `start`, 1 after `end`, straight between them (either way round)."""
    return np.clip((v - start) / (end - start), 0, 1).astype(np.float32)


def line(distance_m: np.ndarray, width_m: float, pixel_m: float) -> np.ndarray:
    """Share of a picture pixel that a line of `width_m` covers at `distance_m` from its middle."""
    return np.clip((width_m - 2 * distance_m) / (2 * pixel_m) + 0.5, 0, 1).astype(
        np.float32
    ) * np.float32(min(1.0, width_m / pixel_m))
