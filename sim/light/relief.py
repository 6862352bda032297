"""What stands in the way of light: surfaces nearer to the viewer, roofs and overhangs.

A surface of the drawing is a sheet at its depth that reaches back as far as `canvas` says. Seen
from the street the house is then a map of two heights; a ray from a source to a lit place is
followed over that map and is cut where it runs between front and back.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.kernels import njit
from sim.light.canvas import Canvas
from sim.light.view import View

CELL_PX = 4  # picture pixels to a cell of the map
FLUSH_M = 0.08  # what stands out less than this casts no shadow
CLEAR_M = 0.12  # nothing this near to a source or a lit place counts as in its way


@dataclass(frozen=True, eq=False)
class Relief:
    """A coarse map of how far surfaces stand out and reach back."""

    front_m: np.ndarray  # (h, w) float32
    back_m: np.ndarray  # (h, w) float32
    left_m: float
    top_m: float
    cell_m: float


def relief_of(canvas: Canvas, view: View) -> Relief:
    """The map of a painted house: every fourth picture pixel."""
    some = slice(CELL_PX // 2, None, CELL_PX)
    return Relief(
        np.ascontiguousarray(canvas.front_m[some, some]),
        np.ascontiguousarray(canvas.back_m[some, some]),
        view.left_m,
        view.top_m,
        CELL_PX * view.pixel_m,
    )


@njit(cache=True, nogil=True, fastmath=True, error_model="numpy")
def blocked(
    px: float,
    py: float,
    pz: float,
    sx: float,
    sy: float,
    sz: float,
    skip_m: float,
    front: np.ndarray,
    back: np.ndarray,
    left: float,
    top: float,
    cell: float,
) -> bool:
    """Whether a surface stands between the place P and the source P − s."""
    span = np.sqrt(sx * sx + sy * sy)
    if span <= 2 * skip_m:
        return False
    steps = min(64, int(span / cell))
    height, width = front.shape
    for k in range(1, steps):
        t = k / steps
        if t * span < skip_m or (1 - t) * span < skip_m:
            continue
        i = int((top - (py - t * sy)) / cell)
        j = int((px - t * sx - left) / cell)
        if 0 <= i < height and 0 <= j < width:
            z = pz - t * sz
            if back[i, j] < z < front[i, j] - FLUSH_M:
                return True
    return False
