"""Outlines to coverage: how much of each picture pixel a surface covers, 0..1."""

from __future__ import annotations

import numpy as np

from sim.kernels import njit
from sim.light.view import View

SUB = 8  # lines a picture pixel is cut into; along each line the covered length is exact


def covered(points_px: np.ndarray, width: int, height: int) -> np.ndarray:
    """(K, 2) outline that does not cross itself -> (height, width) float32 coverage.

    Every line through the picture enters the outline and leaves it again. A crossing adds, or on
    the way out takes away, what lies to its right; running sums along the rows give the coverage.
    """
    points = np.ascontiguousarray(points_px, dtype=np.float64)
    change = np.zeros((height, width + 1), dtype=np.float32)
    out = np.empty((height, width), dtype=np.float32)
    _covered(points, change, out)
    return out


@njit(cache=True, nogil=True, error_model="numpy")
def _covered(points: np.ndarray, change: np.ndarray, out: np.ndarray) -> None:
    """Coverage to `out` (h, w); `change` (h, w + 1) is 0 before."""
    height, width = out.shape
    for k in range(len(points)):
        n = (k + 1) % len(points)
        ax, ay, bx, by = points[k, 0], points[k, 1], points[n, 0], points[n, 1]
        # the lines between the two heights: those at (i + 1/2) / SUB that lie in [low, high)
        first = min(max(int(np.ceil(min(ay, by) * SUB - 0.5)), 0), height * SUB)
        last = min(max(int(np.ceil(max(ay, by) * SUB - 0.5)), 0), height * SUB)
        way = (1.0 if by > ay else -1.0) / SUB
        for right in range(2):  # what the pixel itself gets, then the one to its right
            for i in range(first, last):
                x = ax + ((i + 0.5) / SUB - ay) * ((bx - ax) / (by - ay))
                x = min(max(x, 0.0), float(width))
                column = min(int(x), width - 1)
                part = x - column
                change[i // SUB, column + right] += way * (part if right else 1 - part)
    for i in range(height):
        total = np.float32(0)
        for j in range(width):
            total += change[i, j]
            out[i, j] = min(abs(total), np.float32(1))


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
