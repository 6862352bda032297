"""Where a photograph lies in the picture, and which of its pixels shows which place."""

from __future__ import annotations

import numpy as np

from layouts.photograph import Plane, to_pixel
from layouts.photograph.placed import plane_of
from layouts.records import Photo
from sim.light.view import View


def places_m(view: View, at: tuple[slice, slice] | None = None) -> np.ndarray:
    """(h, w, 2) the places [m] of the middles of a picture's pixels, of all or of a part."""
    wide, tall = view.size_px
    rows, columns = at or (slice(0, tall), slice(0, wide))
    v, u = np.mgrid[rows.start : rows.stop, columns.start : columns.stop] + 0.5
    return view.to_m(np.stack([u, v], axis=-1))


def inside(pixel: np.ndarray, size_px: tuple[int, int]) -> np.ndarray:
    """(..., 2) pixels -> (...,) bool, whether they lie in a photograph of that size."""
    return np.all((pixel >= 0) & (pixel <= np.array(size_px)), axis=-1)  # nan does not


def photo_covers(photo: Photo, view: View) -> np.ndarray:
    """(H, W) bool, where the photograph's picture reaches on the wall."""
    plane: Plane = plane_of(photo)
    return inside(to_pixel(plane, places_m(view)), plane.size_px)
