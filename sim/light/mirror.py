"""The wet ground as a rough mirror of what is bright before it.

Seen from the eye, a level mirror at y = 0 shows the picture of the house upside down: the line of
sight through (x, -d) of the picture meets the ground and, mirrored, the plane of the house at
(x, d). Water is not level: its facets lean by a normal distribution of angles, and a facet that
leans by δ towards or away from the eye sends the sight up or down by 2δ, so that lights are drawn
out into upright streaks, as on any wet road. Sideways the same leaning turns the sight by far
less, as sin of the height of the sight. Of the light a facet mirrors what Fresnel's equations say
for water, unpolarised, at the angle of incidence on that facet. Sights that would go on into the
ground do not: such facets are hidden behind their neighbours. What stands before the plane of the
house is mirrored as if it stood in it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.kernels import njit
from sim.light.lattice import Lattice
from sim.light.share import share
from sim.light.view import View

WATER = 1.333  # refractive index at 20 °C [handbook]
LEAN_DEG = 5.0  # how far facets of a wet path lean, root mean square [common practice, no source]
LEAST = 1e-6  # of the light: what mirrors less is left out
_FINE = 4  # parts of a row of cells within which the reflectance counts as one


def fresnel(incidence_rad: np.ndarray, index: float = WATER) -> np.ndarray:
    """Share 0..1 of unpolarised light that is mirrored (Fresnel's equations; Hecht, Optics)."""
    cos_in = np.clip(np.cos(incidence_rad), 0.0, 1.0)
    cos_out = np.sqrt(1 - (1 - cos_in**2) / index**2)
    across = (cos_in - index * cos_out) / (cos_in + index * cos_out)
    along = (index * cos_in - cos_out) / (index * cos_in + cos_out)
    return (across**2 + along**2) / 2


@dataclass(frozen=True, eq=False)
class WetGround:
    """G picture rows of ground that mirror R rows of cells by C cells across."""

    first_row: int  # of the picture
    film: np.ndarray  # (G, W) float32 share of each picture pixel that mirrors
    weight: np.ndarray  # (G, R) float32: share of the radiance of each row of cells
    aside: np.ndarray  # (B,) float32, sums to 1: how far the facets lean sideways, in cells
    dark: np.ndarray  # (R, C, 3) float32 radiance with every pixel dark
    cell: np.ndarray  # (K,) cell of each part of a cell that shows one sheet
    corner: np.ndarray  # (K, 4) lattice nodes around it
    tint: np.ndarray  # (K, 3) float32, mean over the whole cell
    step_px: int
    columns: tuple[int, int]  # of cells over which there is film, and one beside it


def mirror_of(
    film: np.ndarray,
    view: View,
    lattice: Lattice,
    sheet: np.ndarray,
    tint: np.ndarray,
    night: np.ndarray,
    lean_deg: float = LEAN_DEG,
) -> WetGround | None:
    """The mirror of a picture; None where no film shows. `film` (H, W), else as in `Scene`."""
    on = np.flatnonzero(film.any(axis=1))
    step = lattice.step_px
    above = min(int(view.top_m * view.px_per_m), film.shape[0])  # rows over the ground line
    rows, columns = above // step, -(-film.shape[1] // step)
    if not len(on) or rows < 1:
        return None
    ground = slice(int(on[0]), int(on[-1]) + 1)
    weight = _weights(view, np.arange(ground.start, ground.stop), step, rows, lean_deg)
    tall = rows * step
    number = sheet[:tall].astype(np.int64)
    place = (np.arange(tall) // step * columns)[:, None] + (np.arange(film.shape[1]) // step)
    size = np.bincount(place.ravel(), minlength=rows * columns)
    dark = [np.bincount(place.ravel(), night[:tall, :, c].ravel()) / size for c in range(3)]
    there = number >= 0
    key, part = np.unique(number[there] * (rows * columns) + place[there], return_inverse=True)
    shown, cell = np.divmod(key, rows * columns)
    mean = [np.bincount(part, tint[:tall][there][:, c]) / size[cell] for c in range(3)]
    i, j = np.divmod(cell, columns)
    corner = [lattice.node[shown, i + a, j + b] for a in (0, 1) for b in (0, 1)]
    return WetGround(
        first_row=ground.start,
        film=np.ascontiguousarray(film[ground]),
        weight=weight,
        aside=_aside(view, step, lean_deg),
        dark=np.stack(dark, axis=-1).reshape(rows, columns, 3).astype(np.float32),
        cell=cell,
        corner=np.column_stack(corner).astype(np.int64),
        tint=np.column_stack(mean).astype(np.float32),
        step_px=step,
        columns=_over_film(film, step, columns),
    )


def _over_film(film: np.ndarray, step: int, columns: int) -> tuple[int, int]:
    across = np.flatnonzero(film.any(axis=0))
    return max(int(across[0]) // step - 1, 0), min(int(across[-1]) // step + 2, columns)


def _sight(view: View, row: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Picture rows -> how far before the house the ground lies there [m], height of sight [rad]."""
    below = np.maximum((np.asarray(row) + 0.5) * view.pixel_m - view.top_m, view.pixel_m / 4)
    reach = view.eye_m[1] / (view.eye_m[1] + below)
    return view.eye_m[2] * (1 - reach), np.arctan(view.eye_m[1] / (view.eye_m[2] * reach))


def reflectance(view: View, row: np.ndarray, lean_deg: float = LEAN_DEG) -> np.ndarray:
    """(G,) share of the light that a film in these picture rows mirrors towards the eye."""
    _, sight = _sight(view, row)
    edge = np.linspace(0, math.pi / 2, 200)[None, :]
    return np.asarray(_shares(edge, sight[:, None], math.radians(lean_deg)).sum(axis=1))


def _shares(edge: np.ndarray, sight: np.ndarray, lean: float) -> np.ndarray:
    """(G, K + 1) heights, (G, 1) [rad] -> (G, K) share of the light that leaves between two."""
    from scipy.special import ndtr

    spread = 2 * lean
    whole = np.maximum(ndtr((math.pi / 2 - sight) / spread) - ndtr(-sight / spread), 1e-12)
    falls = np.diff(ndtr((edge - sight) / spread), axis=1) / whole
    middle = (edge[:, 1:] + edge[:, :-1]) / 2
    return np.asarray(falls * fresnel(math.pi / 2 - (middle + sight) / 2))


def _weights(
    view: View, picture_row: np.ndarray, step: int, rows: int, lean_deg: float
) -> np.ndarray:
    """(G, rows) share of each row of cells in what a row of ground mirrors.

    What goes over the top of the picture sees its uppermost row.
    """
    away, sight = _sight(view, picture_row)
    # heights of the edges of the rows of cells, from the ground up, in parts
    top = view.top_m - np.arange(rows + 1)[::-1] * step * view.pixel_m
    top[0] = 0.0
    parts = np.interp(np.arange(rows * _FINE + 1) / _FINE, np.arange(rows + 1), top)
    edge = np.arctan2(parts[None, :], away[:, None])
    edge[:, -1] = math.pi / 2
    found = _shares(edge, sight[:, None], math.radians(lean_deg))
    return np.ascontiguousarray(
        found.reshape(len(found), rows, _FINE).sum(axis=2)[:, ::-1], dtype=np.float32
    )


def _aside(view: View, step: int, lean_deg: float) -> np.ndarray:
    """(B,) sideways, with the lean as it is seen from the middle of the ground."""
    sight = math.atan2(view.eye_m[1], 0.75 * view.eye_m[2])
    turned_m = 2 * math.radians(lean_deg) * math.sin(sight) * 0.25 * view.eye_m[2]
    spread = max(turned_m * view.px_per_m / step, 1e-3)
    reach = math.ceil(3 * spread)
    found = np.exp(-0.5 * (np.arange(-reach, reach + 1) / spread) ** 2)
    return np.asarray(found / found.sum(), dtype=np.float32)


def reflect(
    mirror: WetGround,
    lit: np.ndarray,
    candela: np.ndarray | None,
    place_m: np.ndarray,
    view: View,
    base: np.ndarray,
) -> None:
    """Add to `base` (H, W, 3) what the film mirrors.

    lit : (P, 3) radiance of the lattice nodes; candela : (N, 3) of the pixels at `place_m` towards
    the mirrored eye, None where they are left out.
    """
    bright = mirror.dark.copy()
    rows = len(bright)
    _gather(mirror.cell, mirror.corner, mirror.tint, lit, bright.reshape(-1, 3))
    if candela is not None and len(place_m):
        at = view.to_px(place_m[:, :2]) / mirror.step_px
        area = (mirror.step_px * view.pixel_m) ** 2
        _spots(at, candela, np.float32(1 / area), bright)
    # only the columns of cells over a film are asked for
    first, last = mirror.columns
    leaned = np.zeros((rows, last - first, 3), dtype=np.float32)
    _sideways(bright, mirror.aside, first, leaned)
    share(
        _lay,
        mirror.first_row,
        mirror.film,
        mirror.weight,
        leaned.reshape(rows, -1),
        first,
        mirror.step_px,
        base,
    )


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _sideways(bright: np.ndarray, aside: np.ndarray, first: int, out: np.ndarray) -> None:
    """(R, C, 3) leaned sideways, columns from `first` on; beyond its ends the picture goes on as
    it ends."""
    reach, last, count = len(aside) // 2, bright.shape[1] - 1, out.shape[1]
    wide = np.empty(3 * (count + 2 * reach), dtype=np.float32)
    flat = out.reshape(len(out), -1)
    for r in range(len(out)):
        for j in range(count + 2 * reach):
            n = min(max(first + j - reach, 0), last)
            for c in range(3):
                wide[3 * j + c] = bright[r, n, c]
        for k in range(len(aside)):
            for i in range(3 * count):
                flat[r, i] += aside[k] * wide[3 * k + i]


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _spots(at: np.ndarray, candela: np.ndarray, per_m2: np.float32, out: np.ndarray) -> None:
    """Add to the cells what shines in them: (N, 2) columns and rows of cells, (N, 3) [cd]."""
    for n in range(len(at)):
        j, i = int(np.floor(at[n, 0])), int(np.floor(at[n, 1]))
        if 0 <= i < out.shape[0] and 0 <= j < out.shape[1]:
            for c in range(3):
                out[i, j, c] += candela[n, c] * per_m2


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _gather(
    cell: np.ndarray, corner: np.ndarray, tint: np.ndarray, lit: np.ndarray, out: np.ndarray
) -> None:
    """Mean radiance of every cell: that of each sheet in it, as its lattice nodes have it."""
    quarter = np.float32(0.25)
    for k in range(len(cell)):
        a, b, c, d = corner[k, 0], corner[k, 1], corner[k, 2], corner[k, 3]
        for i in range(3):
            out[cell[k], i] += (
                quarter * tint[k, i] * (lit[a, i] + lit[b, i] + lit[c, i] + lit[d, i])
            )


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _lay(
    first: int,
    stride: int,
    first_row: int,
    film: np.ndarray,
    weight: np.ndarray,
    bright: np.ndarray,
    first_cell: int,
    step: int,
    base: np.ndarray,
) -> None:
    """The streaks of every row, straight between the cells across, by the share of film."""
    count = bright.shape[1]
    last = count // 3 - 1
    half, over = np.float32(0.5), np.float32(1.0 / step)
    seen = np.empty(count, dtype=np.float32)
    for g in range(first, film.shape[0], stride):
        y = first_row + g
        seen[:] = 0
        for r in range(bright.shape[0]):
            part = weight[g, r]
            if part > LEAST:
                for i in range(count):
                    seen[i] += part * bright[r, i]
        for x in range(film.shape[1]):
            w = film[g, x]
            if w <= 0:
                continue
            u = (x + half) * over - half - first_cell
            j = min(max(int(np.floor(u)), 0), last)
            t = min(max(u - j, np.float32(0)), np.float32(1))
            n = min(j + 1, last)
            for c in range(3):
                base[y, x, c] += w * (seen[3 * j + c] * (1 - t) + seen[3 * n + c] * t)
