"""Edges in a photograph, to a fraction of a pixel: where brightness changes the most.

Places are (x, y) in pixels, the centre of the first pixel at (0, 0).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

#: Scanned this finely, smoothed by this, over lines side by side as far as this [pixels].
STEP_PX, BLUR_PX, BESIDE_PX = 0.25, 1.5, 2
#: A weaker change is the noise of the photograph [of full scale a pixel].
LEAST_STEP = 0.015


@dataclass(frozen=True)
class PhotoEdge:
    """A place on an edge, the unit vector across it (dark to light), and how strong it is."""

    at_px: tuple[float, float]
    across: tuple[float, float]
    strength: float  # of full scale a pixel


def edge_along(
    grey: np.ndarray,
    through_px: tuple[float, float],
    way: tuple[float, float],
    reach_px: float,
) -> PhotoEdge | None:
    """The strongest edge on a line through a place, at most `reach_px` away; None where none is.

    grey (H, W), 0..1. The profile along `way` is averaged over the lines beside it, differentiated
    by a Gaussian, and a parabola laid through the logarithms of the three highest values: the
    derivative of a blurred step is a Gaussian, whose logarithm is a parabola, so its top is exact
    for a lone straight edge. Without noise the error is below 0.05 px, most (0.022 px) where the
    step falls on a single pixel and what that holds of it makes the derivative lopsided.
    """
    size = math.hypot(*way)
    if size == 0:
        return None
    ux, uy = way[0] / size, way[1] / size
    margin = 4 * BLUR_PX
    half = math.ceil((reach_px + margin) / STEP_PX)
    along = np.arange(-half, half + 1) * STEP_PX
    beside = np.arange(-BESIDE_PX, BESIDE_PX + 1)[:, None]
    x = through_px[0] + along * ux - beside * uy
    y = through_px[1] + along * uy + beside * ux
    height, width = grey.shape
    inside = (x >= 0) & (x <= width - 1) & (y >= 0) & (y <= height - 1)
    if not inside.any():
        return None
    left, top_row = (max(int(each[inside].min()) - 1, 0) for each in (x, y))
    right, bottom = (int(each[inside].max()) + 3 for each in (x, y))
    part = grey[top_row:bottom, left:right].astype(float)  # of 24 megapixels, a few hundred
    places = [y - top_row, x - left]
    from scipy.ndimage import gaussian_filter1d, map_coordinates

    profile = map_coordinates(part, places, order=1, mode="nearest").mean(axis=0)
    slope = gaussian_filter1d(profile, BLUR_PX / STEP_PX, order=1, mode="nearest") / STEP_PX
    strength = np.abs(slope)
    strength[(np.abs(along) > reach_px) | ~inside.all(axis=0)] = 0.0
    top = int(np.argmax(strength))
    if strength[top] < LEAST_STEP or top in (0, len(along) - 1):
        return None
    three = np.abs(slope[top - 1 : top + 2])
    low, high, after = np.log(np.maximum(three, 1e-12))
    bend = low - 2 * high + after
    offset = 0.5 * (low - after) / bend if bend < 0 else 0.0
    at = float(along[top] + np.clip(offset, -1, 1) * STEP_PX)
    sign = 1.0 if slope[top] > 0 else -1.0
    return PhotoEdge(
        (through_px[0] + at * ux, through_px[1] + at * uy),
        (sign * ux, sign * uy),
        float(strength[top]),
    )


def nearest_edge(
    grey: np.ndarray, pointer_px: tuple[float, float], reach_px: float
) -> PhotoEdge | None:
    """The edge near a pointer, whichever way it runs; None where there is none within reach.

    The strongest gradient around the pointer says the way across; the edge is then sought along
    it through the pointer.
    """
    height, width = grey.shape
    r = math.ceil(reach_px)
    margin = r + math.ceil(4 * BLUR_PX)
    cx, cy = round(pointer_px[0]), round(pointer_px[1])
    x0, x1 = max(cx - margin, 0), min(cx + margin + 1, width)
    y0, y1 = max(cy - margin, 0), min(cy + margin + 1, height)
    if x1 - x0 < 3 or y1 - y0 < 3:
        return None
    patch = grey[y0:y1, x0:x1].astype(float)
    from scipy.ndimage import gaussian_filter1d

    smooth = gaussian_filter1d(gaussian_filter1d(patch, BLUR_PX, axis=0), BLUR_PX, axis=1)
    gy, gx = np.gradient(smooth)
    yy, xx = np.mgrid[y0:y1, x0:x1]
    near = np.hypot(xx - pointer_px[0], yy - pointer_px[1])
    weight = np.hypot(gx, gy) * (near <= reach_px) * (1 - 0.5 * near / max(reach_px, 1e-9))
    top = np.unravel_index(int(np.argmax(weight)), weight.shape)
    if weight[top] <= 0:
        return None
    return edge_along(grey, pointer_px, (float(gx[top]), float(gy[top])), reach_px)
