"""Outlines to coverage: how much of each picture pixel a surface covers, 0..1."""

from __future__ import annotations

import numpy as np

from sim.light.view import View

SUB = 8  # lines a picture pixel is cut into; along each line the covered length is exact


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
    view: View, outline_m: np.ndarray, *, beyond_m: float = 0.0
) -> tuple[slice, slice, np.ndarray] | None:
    """Rows, columns and (h, w) float32 coverage of an outline; None where it is out of the picture.

    `beyond_m` is how much room to leave round it, within the picture.
    """
    points = view.to_px(outline_m)
    frame_w, frame_h = view.size_px
    margin = int(np.ceil(beyond_m * view.px_per_m)) + 1 if beyond_m else 0
    left, top = np.maximum(np.floor(points.min(axis=0)).astype(int) - margin, 0)
    right, bottom = np.ceil(points.max(axis=0)).astype(int) + margin
    right, bottom = min(int(right), frame_w), min(int(bottom), frame_h)
    if left >= right or top >= bottom:
        return None
    at = slice(int(top), bottom), slice(int(left), right)
    return *at, covered(points - (left, top), right - left, bottom - top)
