"""Foliage as an illustrator lays it: tufts over tufts, in heaps that are lit from above.

Two lattices of the house's own places carry it, so that a picture of any size shows the same tree:
a coarse one of heaps, which bulge out of the outline, and a fine one of tufts, each a little ball
of leaves that hides what is behind it. All sizes by eye [common practice, no source].
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.kernels import njit
from sim.light.share import share

HEAP = 0.55  # least radius of a heap, in heaps


@dataclass(frozen=True)
class Habit:
    """How a plant grows."""

    tuft_m: float
    heap_m: float
    flat: float  # how many times as wide as tall heaps and tufts are
    droop: float  # how far [of its height] a heap hangs down to its sides
    bulge: float  # how far a heap stands out of the outline, in heaps
    gaps: float  # share of the heaps through which one sees
    depth: float  # how dark a heap is below, 0..1
    closed: float  # how near to tufts [sum of 1 - d², d in tufts] no sky is seen between them

    @property
    def reach_m(self) -> float:
        """How far leaves stand out of the outline at most: aside, or hanging down."""
        heap = HEAP + self.bulge if self.bulge else 0.0
        most = max(self.flat * heap, heap + self.droop * heap * heap)
        return self.flat * self.tuft_m + most * self.heap_m


@njit(inner=True, cache=True, nogil=True, fastmath=True, error_model="numpy")
def chance(i: int, j: int, seed: int) -> float:
    """0..1, the same for the same whole numbers."""
    h = (i * 0x9E3779B1 + j * 0x85EBCA77 + seed * 0xC2B2AE3D) & 0xFFFFFFFF
    h = ((h ^ (h >> 15)) * 0x2C1B3C6D) & 0xFFFFFFFF
    h = ((h ^ (h >> 12)) * 0x297A2D39) & 0xFFFFFFFF
    return ((h ^ (h >> 15)) >> 8) / 16777216.0


@njit(inner=True, cache=True, nogil=True, fastmath=True, error_model="numpy")
def _inside(solid: np.ndarray, x: float, y: float, left: float, top: float, pixel: float) -> bool:
    # what is beyond the picture is as at its edge
    j = min(max(int(np.floor((x - left) / pixel)), 0), solid.shape[1] - 1)
    i = min(max(int(np.floor((top - y) / pixel)), 0), solid.shape[0] - 1)
    return bool(solid[i, j] > 0.5)


@njit(inner=True, cache=True, nogil=True, fastmath=True, error_model="numpy")
def _heap_at(
    x: float,
    y: float,
    solid: np.ndarray,
    left: float,
    top: float,
    pixel: float,
    wide: float,
    tall: float,
    droop: float,
    bulge: float,
    seed: int,
) -> tuple[float, float, float, bool]:
    """The foremost heap over a place: its height within it -1..1, its hue and chance 0..1, any."""
    best, height, hue, lot = -1.0, 0.0, 0.5, 0.5
    column, row = int(np.floor(x / wide)), int(np.floor(y / tall))
    for i in range(row - 1, row + 3):  # a heap two rows above may hang down to here
        for j in range(column - 1, column + 2):
            at_x = (j + chance(j, i, seed)) * wide
            at_y = (i + chance(j, i, seed + 1)) * tall
            size = HEAP + bulge * chance(j, i, seed + 2)
            dx = (x - at_x) / wide
            dy = (y - at_y) / tall + droop * dx * dx
            rank = chance(j, i, seed + 3) - 0.4 * (i - row) + 1.0
            if dx * dx + dy * dy > size * size or rank <= best:
                continue
            if not _inside(solid, at_x, at_y, left, top, pixel):
                continue
            best, height = rank, dy / size
            hue, lot = chance(j, i, seed + 4), chance(j, i, seed + 5)
    return height, hue, lot, best > 0.0


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _lattice(
    first: tuple[int, int],
    cell: tuple[float, float],
    solid: np.ndarray,
    at: tuple[float, float, float],
    heap: tuple[float, float, float, float, float, float],
    seed: int,
    made: np.ndarray,
) -> None:
    """To (rows, columns, 6), 0 before, the tufts: x, y, radius (0: none), light, hue, rank."""
    left, top, pixel = at
    wide, tall, droop, bulge, gaps, depth = heap
    for i in range(made.shape[0]):
        for j in range(made.shape[1]):
            row, column = first[0] + i, first[1] + j
            x = (column + chance(column, row, seed + 11)) * cell[0]
            y = (row + chance(column, row, seed + 12)) * cell[1]
            within = _inside(solid, x, y, left, top, pixel)
            height, hue, lot, found = _heap_at(
                x, y, solid, left, top, pixel, wide, tall, droop, bulge, seed
            )
            if not within and (not found or bulge <= 0.0):
                continue
            if lot < gaps and abs(height) < 0.3:
                continue
            own = chance(column, row, seed + 13)
            made[i, j, 0], made[i, j, 1] = x, y
            made[i, j, 2] = 0.62 + 0.36 * own
            lit = 0.5 + 0.5 * height if found else 0.3
            made[i, j, 3] = (1.0 - depth + depth * lit) * (0.72 + 0.56 * own * own)
            made[i, j, 4] = 0.6 * hue + 0.4 * own
            made[i, j, 5] = chance(column, row, seed + 14) + 0.5 * lit


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def _laid(
    first_row: int,
    stride: int,
    tufts: np.ndarray,
    first: tuple[int, int],
    cell: tuple[float, float],
    left: float,
    top: float,
    pixel: float,
    closed: float,
    cover: np.ndarray,
    light: np.ndarray,
    hues: np.ndarray,
) -> None:
    """(h, w) coverage, light and hue of the tufts, each hiding those of lower rank."""
    shape, soft = cover.shape, cell[1] / pixel
    filled = max(soft, 0.5 / closed)  # so that nothing is filled where no tuft is near
    for i in range(first_row, shape[0], stride):
        y = top - (i + 0.5) * pixel
        row = int(np.floor(y / cell[1])) - first[0]
        for j in range(shape[1]):
            x = left + (j + 0.5) * pixel
            column = int(np.floor(x / cell[0])) - first[1]
            best, over, shown, hue, near, below = -9.0, 0.0, 0.0, 0.5, 0.0, 0.0
            for a in range(max(row - 1, 0), min(row + 2, tufts.shape[0])):
                for b in range(max(column - 1, 0), min(column + 2, tufts.shape[1])):
                    size = tufts[a, b, 2]
                    if size <= 0.0:
                        continue
                    dx = (x - tufts[a, b, 0]) / cell[0]
                    dy = (y - tufts[a, b, 1]) / cell[1]
                    d = dx * dx + dy * dy
                    if d < 1.0:
                        near += 1.0 - d
                        below += (1.0 - d) * tufts[a, b, 3]
                    if d > (size + 0.5 / soft) ** 2:
                        continue
                    d = np.sqrt(d)
                    if soft > 3.0 and d > 0.3 * size:  # leaf tips, where a tuft is large enough
                        turn = np.arctan2(dy, dx)
                        size *= 0.62 + 0.38 * abs(np.sin(2.5 * turn + 9.0 * tufts[a, b, 4]))
                    part = min(1.0, max(0.0, (size - d) * soft + 0.5))
                    over = max(over, part)
                    if part > 0.5 and tufts[a, b, 5] > best:
                        best, hue = tufts[a, b, 5], tufts[a, b, 4]
                        shown = tufts[a, b, 3] * (0.86 + 0.26 * dy / size)
                    elif best < -8.0 and part > 0.0:
                        shown, hue = 0.8 * tufts[a, b, 3], tufts[a, b, 4]
            dense = min(1.0, max(0.0, (near - closed) * filled + 0.5))
            if over < 1.0 and dense > over:  # between leaves one sees the dark of the plant
                gap = 0.3 * below / near
                shown = (gap * (dense - over) + shown * over) / dense
                over = dense
            cover[i, j], light[i, j], hues[i, j] = over, shown, hue


def tufted(
    habit: Habit, solid: np.ndarray, left_m: float, top_m: float, pixel_m: float, seed: int
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Coverage, light and hue, each (h, w) float32, of a plant that fills an outline.

    `solid` (h, w) is the outline's coverage, with room round it for `habit.reach_m`.
    """
    height, width = solid.shape
    wide, tall = habit.tuft_m * habit.flat, habit.tuft_m
    low, high = top_m - height * pixel_m, top_m
    first = int(np.floor(low / tall)) - 1, int(np.floor(left_m / wide)) - 1
    rows = int(np.floor(high / tall)) + 2 - first[0]
    columns = int(np.floor((left_m + width * pixel_m) / wide)) + 2 - first[1]
    heap = (
        habit.heap_m * habit.flat, habit.heap_m, habit.droop, habit.bulge, habit.gaps, habit.depth,
    )  # fmt: skip
    place = (float(left_m), float(top_m), float(pixel_m))
    laid = np.zeros((rows, columns, 6), dtype=np.float32)
    _lattice(first, (wide, tall), solid, place, heap, seed, laid)
    cover, light, hues = (np.empty((height, width), dtype=np.float32) for _ in range(3))
    share(_laid, laid, first, (wide, tall), *place, habit.closed, cover, light, hues)
    return cover, light, hues
