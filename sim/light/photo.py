"""A photograph of the own house as the wall that is lit.

The photograph lies in the plane of the wall between the four corners its owner gave. What was
bright in it counts as bright material: its linear colours become the reflectance that the night
and the pixels are seen by, which is how it darkens to night by its own luminance. Its sky gives way
to the night sky. A photograph taken on a dull day is best; shadows of the sun in it stay.
"""

from __future__ import annotations

import warnings

import numpy as np

from effects.colour_spaces import LUMINANCE
from layouts.errors import InputError, Problem
from layouts.records import Photo
from sim.light.tone import srgb_decode
from sim.light.view import View

BRIGHTEST = 0.75  # reflectance of the brightest twentieth: white paint [common practice, no source]


def photo_reflectance(photo: Photo, view: View) -> tuple[np.ndarray, np.ndarray]:
    """(H, W, 3) float32 linear reflectance and (H, W) bool where the photograph lies.

    Raises InputError where the file is no picture that can be read.
    """
    from PIL import Image

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            picture = Image.open(photo.file).convert("RGB")
    except (OSError, Image.DecompressionBombError, Image.DecompressionBombWarning) as error:
        what = f"this is no picture that can be read ({error})"
        problem = Problem(photo.file, 1, 1, what, "save the photograph as JPEG or PNG again")
        raise InputError([problem]) from None
    wide, tall = picture.size
    # corners of the file in the order of the record: lower left, lower right, upper right, left
    corners = np.array([[0, tall], [wide, tall], [wide, 0], [0, 0]], dtype=float)
    placed = view.to_px(np.array(photo.corners_m))
    back = _perspective(placed, corners)
    size = view.size_px
    laid = picture.transform(size, Image.Transform.PERSPECTIVE, back, Image.Resampling.BICUBIC)
    mask = Image.new("L", picture.size, 255).transform(
        size, Image.Transform.PERSPECTIVE, back, Image.Resampling.NEAREST
    )
    where = np.asarray(mask) > 127
    linear = srgb_decode(np.asarray(laid, dtype=np.float32) / 255).astype(np.float32)
    where &= ~_sky(linear, where)
    bright = np.percentile(linear[where], 95) if where.any() else 1.0
    return np.clip(linear * (BRIGHTEST / max(float(bright), 1e-3)), 0.01, 1.0), where


def _sky(linear: np.ndarray, where: np.ndarray) -> np.ndarray:
    """(H, W) bool: the even, bright, white to blue part that reaches the photograph's upper edge.

    It gives way to the night sky: air is no wall that could be lit.
    """
    from scipy.ndimage import binary_dilation, binary_propagation, gaussian_gradient_magnitude

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
    return binary_dilation(sky, iterations=3) & where if sky.any() else sky


def _perspective(source: np.ndarray, target: np.ndarray) -> tuple[float, ...]:
    """The eight numbers of the projective map that takes four points to four others."""
    rows, right = [], []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    return tuple(np.linalg.solve(np.array(rows), np.array(right)))
