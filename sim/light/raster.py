"""Outlines to coverage: how much of each picture pixel a surface covers, 0..1."""

from __future__ import annotations

import numpy as np

from sim.light.materials.garden import TREE_M
from sim.light.materials.noise import noise
from sim.light.view import View

SUB = 8  # lines a picture pixel is cut into; along each line the covered length is exact
FINE = 2  # finer pixels a side, where leaves fray an outline
LEAF_M = 0.07  # how far leaves stand out of the outline of a hedge
BOUGH, BOUGH_M = 0.045, 0.3  # how far the boughs of a tree do, in widths of the tree; at most


def covered(points_px: np.ndarray, width: int, height: int) -> np.ndarray:
    """(K, 2) outline that does not cross itself -> (height, width) float32 coverage.

    Every line through the picture enters the outline and leaves it again. A crossing adds, or on
    the way out takes away, what lies to its right; running sums along the rows give the coverage.
    """
    lines = (np.arange(height * SUB) + 0.5) / SUB
    change = np.zeros((height, width + 1), dtype=np.float32)
    start, end = points_px, np.roll(points_px, -1, axis=0)
    for (ax, ay), (bx, by) in zip(start, end, strict=True):
        first, last = np.searchsorted(lines, sorted((ay, by)))
        if first == last:
            continue
        y = lines[first:last]
        x = np.clip(ax + (y - ay) * ((bx - ax) / (by - ay)), 0, width)
        column = np.minimum(x.astype(np.int64), width - 1)
        part = x - column
        row = np.arange(first, last) // SUB
        way = (1 if by > ay else -1) / SUB
        np.add.at(change, (row, column), way * (1 - part))
        np.add.at(change, (row, column + 1), way * part)
    return np.clip(np.abs(np.cumsum(change[:, :width], axis=1)), 0, 1).astype(np.float32)


def coverage(
    view: View, outline_m: np.ndarray, *, leafy: bool = False, seed: int = 0
) -> tuple[slice, slice, np.ndarray] | None:
    """Rows, columns and (h, w) float32 coverage of an outline; None where it is out of the picture.

    `leafy` frays the outline as foliage does.
    """
    points = view.to_px(outline_m)
    frame_w, frame_h = view.size_px
    extent_m = np.ptp(outline_m, axis=0)
    bough_m = min(BOUGH * float(extent_m.min()), BOUGH_M) if extent_m[1] > TREE_M else 0.0
    margin = int(np.ceil(2 * (LEAF_M + bough_m) * view.px_per_m)) + 1 if leafy else 0
    left, top = np.maximum(np.floor(points.min(axis=0)).astype(int) - margin, 0)
    right, bottom = np.ceil(points.max(axis=0)).astype(int) + margin
    right, bottom = min(int(right), frame_w), min(int(bottom), frame_h)
    if left >= right or top >= bottom:
        return None
    at = slice(int(top), bottom), slice(int(left), right)
    if not leafy:
        return *at, covered(points - (left, top), right - left, bottom - top)
    pushed = points - (left - margin, top - margin)
    fine = covered(
        pushed * FINE, (right - left + 2 * margin) * FINE, (bottom - top + 2 * margin) * FINE
    )
    return *at, _frayed(fine, view, at, margin, bough_m, seed)


def _frayed(
    fine: np.ndarray,
    view: View,
    at: tuple[slice, slice],
    margin: int,
    bough_m: float,
    seed: int,
) -> np.ndarray:
    """The fine coverage looked up at places pushed about by leaves and boughs."""
    height, width = at[0].stop - at[0].start, at[1].stop - at[1].start
    total = np.zeros((height, width), dtype=np.float32)
    leaf, bough = LEAF_M * view.px_per_m, 2 * bough_m * view.px_per_m
    for sub_y in (0.25, 0.75):
        for sub_x in (0.25, 0.75):
            column = np.arange(width)[None, :] + sub_x
            row = np.arange(height)[:, None] + sub_y
            x_m = (column + at[1].start) * view.pixel_m
            y_m = (row + at[0].start) * view.pixel_m
            u, v = column + margin, row + margin
            for reach, grain, shift in ((2 * leaf, 13, 0), (1.2 * leaf, 33, 1), (bough, 2.6, 4)):
                if reach:
                    u = u + reach * (noise(x_m * grain, y_m * grain, seed + shift) - 0.5)
                    v = v + reach * (noise(x_m * grain, y_m * grain, seed + shift + 2) - 0.5)
            i = np.clip(v * FINE, 0, fine.shape[0] - 1).astype(np.int32)
            j = np.clip(u * FINE, 0, fine.shape[1] - 1).astype(np.int32)
            total += fine[i, j]
    return total / 4
