"""The photograph of a house record: its plane, what its known points are off, where its eye was."""

from __future__ import annotations

import numpy as np

from layouts.photograph.eye import eye_of
from layouts.photograph.faults import UnfitPoints
from layouts.photograph.homography import homography_of
from layouts.photograph.plane import Plane, errors_m, fit_plane, to_wall
from layouts.records import Photo


def plane_of(photo: Photo) -> Plane:
    """How the photograph sees the wall, in its own pixels.

    A photograph fixed by corners whose size nobody looked at has pixels of the unit square. Raises
    UnfitPoints where its points do not fix a wall; a house that was read has none such.
    """
    if not photo.corners_m:
        pixel, at = known(photo)
        return fit_plane(pixel, at, photo.size_px, photo.lens)
    wide, tall = size = photo.size_px if all(photo.size_px) else (1, 1)
    corners = np.array([[0, tall], [wide, tall], [wide, 0], [0, 0]], dtype=float)
    return Plane(homography_of(np.array(photo.corners_m, dtype=float), corners), size)


def known(photo: Photo) -> tuple[np.ndarray, np.ndarray]:
    """(N, 2) pixels and (N, 2) places [m] of the known points."""
    pixel = np.array([each.pixel for each in photo.points], dtype=float).reshape(-1, 2)
    return pixel, np.array([each.at_m for each in photo.points], dtype=float).reshape(-1, 2)


def photo_errors_m(photo: Photo) -> np.ndarray:
    """(N,) how far [m] each known point is off; all 0 for four, which always fit."""
    pixel, at = known(photo)
    return errors_m(plane_of(photo), pixel, at) if len(pixel) else np.zeros(0)


def resized(plane: Plane, size_px: tuple[int, int]) -> Plane:
    """The plane for the same picture at another size."""
    share = np.array(size_px, dtype=float) / plane.size_px
    return Plane(np.diag([*share, 1.0]) @ plane.homography, size_px, plane.lens)


def likely_eye(plane: Plane, viewer_m: float) -> np.ndarray:
    """(3,) where the camera stood, as well as can be told [m].

    At the viewer's distance where the perspective does not speak against that; where it does, as
    the perspective says; straight before the middle of the picture where neither can be.
    """
    for distance in (viewer_m, None):
        try:
            return eye_of(plane, distance)
        except UnfitPoints:
            continue
    middle = to_wall(plane, np.array(plane.size_px) / 2)
    return np.append(middle, viewer_m)
