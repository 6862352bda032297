"""A photograph straightened: pixels of the picture to metres on the wall and back.

The wall is the plane z = 0, x to the right, y upwards. What stands `depth_m` before it (a surface's
`depth`, negative behind it) is seen along a ray from the eye through the wall, at

    wall = foot + (true − foot) · d / (d − depth)

with the foot of the eye on the wall, straight before it, and its distance d: things nearer to the
eye look larger, about the foot. (Similar triangles.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.photograph.faults import UnfitPoints, check_points
from layouts.photograph.homography import homography_of, project, scales
from layouts.photograph.lens import NONE, covers_picture, to_ideal, to_seen


@dataclass(frozen=True, eq=False)
class Plane:
    """How a photograph sees a wall."""

    homography: np.ndarray  # (3, 3) wall [m] -> pixels of a perfect lens
    size_px: tuple[int, int]  # of the picture as one sees it, width and height
    lens: tuple[float, ...] = NONE  # k₁, k₂ of `lens`


def fit_plane(
    pixel: np.ndarray,
    at_m: np.ndarray,
    size_px: tuple[int, int],
    lens: tuple[float, ...] = NONE,
) -> Plane:
    """(N, 2) pixels as seen, (N, 2) their places on the wall [m], N ≥ 4 -> the plane.

    Exact for four points; for more, the least sum of squared distances in pixels. Raises
    UnfitPoints where the points do not fix a wall or the lens cannot be.
    """
    pixel, at_m = np.asarray(pixel, dtype=float), np.asarray(at_m, dtype=float)
    check_lens(lens)
    ideal = to_ideal(pixel, lens, size_px) if pixel.ndim == 2 and len(pixel) else pixel
    check_points(ideal, at_m)
    return Plane(homography_of(at_m, ideal), size_px, tuple(lens))


def check_lens(lens: tuple[float, ...]) -> None:
    """Raise UnfitPoints where k₁, k₂ would fold the picture over itself."""
    if not covers_picture(lens):
        told = ", ".join(f"{each:g}" for each in lens)
        raise UnfitPoints(
            f"a lens of [{told}] would fold the photograph over itself",
            "give a k1 nearer to 0, above about -0.14; leave the lens out if in doubt",
        )


def to_wall(
    plane: Plane,
    pixel: np.ndarray,
    depth_m: np.ndarray | float = 0.0,
    eye_m: np.ndarray | tuple[float, float, float] | None = None,
) -> np.ndarray:
    """(..., 2) pixels as seen -> (..., 2) true places [m] of what stands `depth_m` before the wall.

    `eye_m` (x, y, distance from the wall) is needed wherever `depth_m` is not 0; see `eye_of`.
    nan above the wall's horizon.
    """
    ideal = to_ideal(pixel, plane.lens, plane.size_px)
    # w > 0 for what the camera sees of the front: H⁻¹ takes w'·(u, v, 1), w' > 0, to (x, y, 1)
    found = project(np.linalg.inv(plane.homography), ideal)
    return found if eye_m is None and not np.any(depth_m) else _true(found, depth_m, eye_m)


def to_pixel(
    plane: Plane,
    xy_m: np.ndarray,
    depth_m: np.ndarray | float = 0.0,
    eye_m: np.ndarray | tuple[float, float, float] | None = None,
) -> np.ndarray:
    """(..., 2) true places [m] of what stands `depth_m` before the wall -> (..., 2) pixels as seen.

    The way back from `to_wall`; nan for what lies behind the camera or beyond what its lens shows.
    A pixel may lie outside the picture.
    """
    xy = np.asarray(xy_m, dtype=float)
    if eye_m is not None or np.any(depth_m):
        xy = seen_on_wall(xy, depth_m, eye_m)
    return to_seen(project(plane.homography, xy), plane.lens, plane.size_px)


def seen_on_wall(
    xy_m: np.ndarray,
    depth_m: np.ndarray | float,
    eye_m: np.ndarray | tuple[float, float, float] | None,
) -> np.ndarray:
    """(..., 2) true places [m] at a depth -> (..., 2) where the eye sees them on the wall [m]."""
    foot, share = _seen(depth_m, eye_m)
    return foot + (np.asarray(xy_m, dtype=float) - foot) / share


def errors_m(plane: Plane, pixel: np.ndarray, at_m: np.ndarray) -> np.ndarray:
    """(N,) how far [m] each known point lies from where the photograph shows it on the wall.

    Four points always fit exactly, whatever was mistyped: only a fifth can show a mistake.
    """
    return np.hypot(*np.moveaxis(to_wall(plane, pixel) - np.asarray(at_m, dtype=float), -1, 0))


def metres_per_pixel(plane: Plane, xy_m: np.ndarray) -> np.ndarray:
    """(...,) the wall that one pixel shows at (..., 2) places [m], in its larger direction [m]."""
    slopes = scales(plane.homography, xy_m)
    return 1 / np.linalg.svd(slopes, compute_uv=False)[..., -1]


def _true(
    seen: np.ndarray,
    depth_m: np.ndarray | float,
    eye_m: np.ndarray | tuple[float, float, float] | None,
) -> np.ndarray:
    foot, share = _seen(depth_m, eye_m)
    return foot + (seen - foot) * share


def _seen(
    depth_m: np.ndarray | float, eye_m: np.ndarray | tuple[float, float, float] | None
) -> tuple[np.ndarray, np.ndarray]:
    """(2,) the foot of the eye [m], and (..., 1) by how much smaller a thing is than it looks."""
    if eye_m is None:
        raise UnfitPoints(
            "what stands before the wall cannot be placed without knowing where the viewer stood",
            "give the viewer's distance",
        )
    eye = np.asarray(eye_m, dtype=float)
    depth = np.asarray(depth_m, dtype=float)[..., None]
    if (depth >= eye[2]).any():
        raise UnfitPoints("a part stands behind the viewer", "check its depth")
    return eye[:2], 1 - depth / eye[2]
