"""A photograph of the own house as the wall that is lit.

The photograph lies in the plane of the wall between the four corners its owner gave. What was
bright in it counts as bright material: its linear colours become the reflectance that the night
and the pixels are seen by, which is how it darkens to night by its own luminance. Its sky gives way
to the night sky, as does what was made transparent. A photograph taken on a dull day is best;
shadows of the sun in it stay.

Where the sky ends is found in the photograph itself, at one size whatever the picture's.
"""

from __future__ import annotations

import numpy as np
from PIL import Image

from effects.colour_spaces import LUMINANCE
from layouts.records import Photo
from sim.light.photo_file import open_photo
from sim.light.tone import srgb_decode
from sim.light.view import View

BRIGHTEST = 0.75  # reflectance of the brightest twentieth: white paint [common practice, no source]
STUDY_PX = 1600  # longer side at which sky is told from wall; a smaller photograph is left as it is


def photo_reflectance(photo: Photo, view: View) -> tuple[np.ndarray, np.ndarray]:
    """(H, W, 3) float32 linear reflectance and (H, W) bool where the photograph lies.

    Raises InputError where the file is no picture that can be read.
    """
    picture = open_photo(photo.file)
    wall, bright = _wall(picture)
    placed = view.to_px(np.array(photo.corners_m))
    # many pixels of the photograph to one of the picture are averaged first
    shrink = int(min(picture.width, picture.height) / max(float(np.ptp(placed, axis=0).max()), 1.0))
    if shrink > 1:
        picture = picture.reduce(shrink)
    laid = _lay(picture.convert("RGB"), placed, view, Image.Resampling.BICUBIC)
    where = _lay(Image.fromarray(wall), placed, view, Image.Resampling.BILINEAR) > 127
    linear = srgb_decode(laid.astype(np.float32) / 255).astype(np.float32)
    return np.clip(linear * (BRIGHTEST / max(bright, 1e-3)), 0.01, 1.0), where


def _lay(
    picture: Image.Image, placed_px: np.ndarray, view: View, how: Image.Resampling
) -> np.ndarray:
    """The picture between its four corners, (H, W, ...) uint8; 0 where it does not reach."""
    wide, tall = picture.size
    # corners of the file in the order of the record: lower left, lower right, upper right, left
    corners = np.array([[0, tall], [wide, tall], [wide, 0], [0, 0]], dtype=float)
    back = _perspective(placed_px, corners)
    return np.asarray(picture.transform(view.size_px, Image.Transform.PERSPECTIVE, back, how))


def _wall(picture: Image.Image) -> tuple[np.ndarray, float]:
    """(h, w) uint8, 255 where the photograph shows something that can be lit, and how bright the
    brightest twentieth of that is (linear).
    """
    small = picture.copy()
    small.thumbnail((STUDY_PX, STUDY_PX), Image.Resampling.BOX)
    values = np.asarray(small)
    linear = srgb_decode(values[..., :3].astype(np.float32) / 255).astype(np.float32)
    solid = values[..., 3] > 127
    wall = solid & ~_sky(linear, solid)
    bright = float(np.percentile(linear[wall], 95)) if wall.any() else 1.0
    return np.where(wall, np.uint8(255), np.uint8(0)), bright


def _sky(linear: np.ndarray, where: np.ndarray) -> np.ndarray:
    """(H, W) bool: the even, bright, white to blue part that reaches the photograph's upper edge.

    It gives way to the night sky: air is no wall that could be lit. What goes on down to the lower
    edge is a wall that fills the photograph.
    """
    from scipy.ndimage import (
        binary_dilation,
        binary_propagation,
        gaussian_gradient_magnitude,
        label,
    )

    luminance = linear @ LUMINANCE.astype(np.float32)
    lit = luminance[where]
    if not len(lit):
        return where
    bright = luminance > 0.35 * np.percentile(lit, 98)
    uneven = gaussian_gradient_magnitude(np.log(np.maximum(luminance, 1e-3)), 1.5) > 0.12
    likely = where & bright & ~uneven & (linear[..., 2] >= 0.8 * linear[..., 0])
    first = np.argmax(where, axis=0)  # the upper edge, column by column
    seeds = np.zeros_like(where)
    columns = np.flatnonzero(where.any(axis=0))
    for below in range(2, 8):
        seeds[np.minimum(first[columns] + below, len(where) - 1), columns] = True
    sky = binary_propagation(seeds & likely, mask=likely)
    parts, _ = label(sky)
    sky &= ~np.isin(parts, parts[-2:][parts[-2:] > 0])
    return binary_dilation(sky, iterations=3) & where if sky.any() else sky


def _perspective(source: np.ndarray, target: np.ndarray) -> tuple[float, ...]:
    """The eight numbers of the projective map that takes four points to four others."""
    rows, right = [], []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    return tuple(np.linalg.solve(np.array(rows), np.array(right)))
