"""The curve of the ribbon as an image. Arrays in, image out."""

from __future__ import annotations

import numpy as np

from sim.app.state.ribbon import Load, columns
from sim.app.view import theme

_FILL = (52, 57, 71)
_PAST = (92, 70, 36)
_OVER = (104, 44, 42)
_STRIPE = (188, 76, 64)


def top_of(load: Load, other: Load | None) -> float:
    """The amps at the top of the plot: above the curves, and above limits that are near."""
    peak_a = max(load.peak[0], other.peak[0] if other else 0.0)
    rated_a = float(load.rated_a.sum())
    near = rated_a and peak_a > 0.35 * rated_a
    return max(peak_a * 1.12, rated_a * 1.3 if near else 0.0, 0.1)


def curve_image(
    load: Load, other: Load | None, size_px: tuple[int, int], top_a: float, line_px: int
) -> np.ndarray:
    """(W, H, 3) uint8: the total as a filled curve; amber where something is past its limit, red
    stripes where a supply is over its rating; the other side of a comparison as a bare line."""
    width, height = size_px
    up = height - np.arange(height)[None, :]  # rows counted from the base line
    image = np.empty((width, height, 3), np.uint8)
    image[:] = theme.PANEL
    level = _level(load, width, height, top_a)
    inside = up <= level
    image[inside] = _FILL
    image[inside & _held(load.past, width)] = _PAST
    over = inside & _held(load.over, width)
    image[over] = _OVER
    across = (np.arange(width)[:, None] + np.arange(height)[None, :]) % (4 * line_px) < line_px
    image[over & across] = _STRIPE
    ink = np.full((width, 1, 3), theme.WARM, np.uint8)
    ink[_held(load.past, width)[:, 0]] = theme.AMBER
    ink[_held(load.over, width)[:, 0]] = theme.OVER
    edge = inside & (up > level - line_px)
    image[edge] = np.broadcast_to(ink, image.shape)[edge]
    if other is not None:
        there = _level(other, width, height, top_a)
        image[(up <= there) & (up > there - line_px)] = theme.FAINT
    return image


def _level(load: Load, width: int, height: int, top_a: float) -> np.ndarray:
    """(W, 1) rows above the base line; 0 where nothing is computed yet."""
    level = np.nan_to_num(columns(load.total_a, width)) / top_a * height
    return np.clip(level, 0, height)[:, None]


def _held(flags: np.ndarray, width: int) -> np.ndarray:
    """(W, 1) bool: any of a column's frames is flagged."""
    return (columns(flags.astype(float), width) > 0)[:, None]
