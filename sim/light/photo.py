"""A photograph of the own house as the wall that is lit.

The photograph lies in the plane of the wall as its corners or its known points say, straightened in
perspective and of what its lens bent. What was bright in it counts as bright material: its linear
colours become the reflectance that the night and the pixels are seen by, which is how it darkens to
night by its own luminance. Its sky gives way to the night sky, as does what was made transparent.
A photograph taken on a dull day is best; shadows of the sun in it stay.

The house is drawn in elevation, one scale everywhere; a camera shows what stands before the wall
too large. A surface without a material is a part of the photograph at its depth: it is taken from
where the camera saw it and laid to its true place and size. What it hid of the wall around it (a
strip as wide as the parallax) shows what is beside that. What nearer parts hide of farther parts,
and the sides of parts, are not made up.

Where the sky ends is found in the photograph itself, at one size whatever the picture's.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from PIL import Image

from effects.colour_spaces import LUMINANCE
from layouts.photograph import Plane, metres_per_pixel, seen_on_wall, to_pixel
from layouts.photograph.placed import likely_eye, plane_of, resized
from layouts.records import AS_PHOTOGRAPHED, Drawing, Photo
from sim.light.photo_file import open_photo
from sim.light.photo_place import inside, places_m
from sim.light.raster import coverage
from sim.light.tone import srgb_decode
from sim.light.view import View

BRIGHTEST = 0.75  # reflectance of the brightest twentieth: white paint [common practice, no source]
STUDY_PX = 1600  # longer side at which sky is told from wall; a smaller photograph is left as it is
FINEST = 1.0  # pixels of the photograph to one of the picture that are read at least
SLOPPY_M = 0.08  # how far beyond its outline a part of a photograph is taken to show [m]
BLACK = 12  # of 255: no more than this, at the edge, and a photograph shows nothing there: a choice
FRAME = 0.15  # of its shorter side: farther in, what is black is no frame but a dark part: a choice
FADES = 0.06  # of the photograph's width: what is beside it has faded to 1/e
UPRIGHT = 0.3  # what is hidden continues up and down sooner than sideways: corners, boards, doors
FLUSH_M = 0.005  # what stands out less has no parallax worth a thought


@dataclass(frozen=True, eq=False)
class LaidPhoto:
    """A photograph read and placed, ready to be looked up."""

    pixels: np.ndarray  # (h, w, 3) uint8 sRGB
    wall: np.ndarray  # (h, w) uint8, 255 where it shows something that can be lit
    bright: float  # linear value of the brightest twentieth
    plane: Plane  # in its own pixels
    eye_m: np.ndarray  # (3,) of the camera


def lay_photo(photo: Photo, view: View, viewer_m: float) -> LaidPhoto:
    """Read the photograph as finely as the picture shows it.

    Raises InputError where the file is no picture that can be read.
    """
    picture = open_photo(photo.file, at_least_px=int(FINEST * max(view.size_px)))
    wall, bright = _wall(picture)
    own = plane_of(photo)
    plane = resized(own, picture.size)
    # many pixels of the photograph to one of the picture are averaged first
    middle = view.to_m(np.array(view.size_px) / 2)
    with np.errstate(divide="ignore", invalid="ignore"):
        many = view.pixel_m / metres_per_pixel(plane, middle)
    shrink = int(np.clip(many, 1, 64)) if np.isfinite(many) else 1
    if shrink > 1:
        picture = picture.reduce(shrink)
        plane = resized(own, picture.size)
    return LaidPhoto(np.asarray(picture)[..., :3], wall, bright, plane, likely_eye(own, viewer_m))


def seen_at(
    laid: LaidPhoto, view: View, depth_m: float = 0.0, at: tuple[slice, slice] | None = None
) -> tuple[np.ndarray, np.ndarray]:
    """(h, w, 3) float32 linear reflectance of what the photograph shows `depth_m` before the wall,
    and (h, w) bool where the photograph reaches; of the whole picture or a part.
    """
    pixel, shown = _pixels_of(laid, view, depth_m, at)
    return _reflectance(laid, pixel), shown


def _reflectance(laid: LaidPhoto, pixel: np.ndarray) -> np.ndarray:
    """(..., 2) pixels -> (..., 3) float32 linear reflectance."""
    colour = np.stack([_between(laid.pixels[..., c], pixel) for c in range(3)], axis=-1)
    linear = srgb_decode(colour / np.float32(255)).astype(np.float32)
    return np.clip(linear * (BRIGHTEST / max(laid.bright, 1e-3)), 0.01, 1.0)


def _pixels_of(
    laid: LaidPhoto, view: View, depth_m: float, at: tuple[slice, slice] | None
) -> tuple[np.ndarray, np.ndarray]:
    """(h, w, 2) pixels of the photograph and (h, w) bool whether they lie in it."""
    eye = laid.eye_m if abs(depth_m) > FLUSH_M else None
    pixel = to_pixel(laid.plane, places_m(view, at), depth_m if eye is not None else 0.0, eye)
    shown = inside(pixel, laid.plane.size_px)
    return np.where(shown[..., None], pixel, 0.0), shown


def flat_seen(laid: LaidPhoto, view: View) -> tuple[np.ndarray, np.ndarray]:
    """(H, W, 3) reflectance and (H, W) bool where the photograph, taken as flat as the wall, shows
    something that can be lit: no sky.
    """
    pixel, shown = _pixels_of(laid, view, 0.0, None)
    share = np.array(laid.wall.shape[::-1]) / laid.plane.size_px
    return _reflectance(laid, pixel), shown & (_between(laid.wall, pixel * share) > 127)


def wall_seen(laid: LaidPhoto, drawing: Drawing, view: View) -> tuple[np.ndarray, np.ndarray]:
    """(H, W, 3) reflectance of the wall and (H, W) bool where there is any, no sky.

    Where parts before it are photographed as well, what such a part hid shows what is nearest
    beside it; that may be sky.
    """
    reflectance, where = flat_seen(laid, view)
    hidden = np.zeros(where.shape, dtype=bool)
    for surface in drawing.surfaces:
        if surface.material == AS_PHOTOGRAPHED and surface.depth_m > FLUSH_M:
            if surface.depth_m >= laid.eye_m[2]:
                continue
            outline = seen_on_wall(surface.outline_m, surface.depth_m, laid.eye_m)
            found = coverage(view, outline)
            if found is not None:
                rows, columns, cover = found
                hidden[rows, columns] |= cover > 0.002
    if hidden.any():
        from scipy.ndimage import binary_dilation, distance_transform_edt

        # nobody traces to the pixel, and edges are soft
        around = max(1, round(SLOPPY_M * view.px_per_m))
        hidden = binary_dilation(hidden, iterations=around)
        # nor is the lawn below the wall what stands behind a shrub
        below = places_m(view)[..., 1] < 0
        near = distance_transform_edt(
            hidden | below, sampling=(UPRIGHT, 1.0), return_distances=False, return_indices=True
        )
        near[:, below] = np.indices(below.shape)[:, below]
        reflectance, where = reflectance[tuple(near)], where[tuple(near)]
    return reflectance, where


def beside_photo(laid: LaidPhoto, view: View) -> tuple[np.ndarray, np.ndarray]:
    """(H, W, 3) reflectance and (H, W) bool of what is shown to the left and right of the
    photograph and below it, where the picture is larger.

    Nothing is known of it. What is at the photograph's edge goes on and fades, so that the garden
    does not end in the sky; where that edge is sky, nothing is shown.
    """
    places = places_m(view, None)
    pixel = to_pixel(laid.plane, places, 0.0, None)
    width, height = laid.plane.size_px
    held = np.clip(pixel, 0.5, np.array([width, height]) - 0.5)
    out_px = np.linalg.norm(pixel - held, axis=-1)
    where = np.isfinite(out_px) & ~inside(pixel, laid.plane.size_px) & (pixel[..., 1] > 0)
    share = np.array(laid.wall.shape[::-1]) / laid.plane.size_px
    where[where] = _between(laid.wall, held[where] * share) > 127
    reflectance = np.zeros((*where.shape, 3), dtype=np.float32)
    fade = np.exp(-out_px[where] / (FADES * width)).astype(np.float32)
    reflectance[where] = _reflectance(laid, held[where]) * fade[:, None]
    return reflectance, where


def photo_reflectance(photo: Photo, view: View) -> tuple[np.ndarray, np.ndarray]:
    """(H, W, 3) float32 linear reflectance and (H, W) bool where the photograph lies on the wall.

    Raises InputError where the file is no picture that can be read.
    """
    return flat_seen(lay_photo(photo, view, view.eye_m[2]), view)


def _between(values: np.ndarray, pixel: np.ndarray) -> np.ndarray:
    """(h, w) uint8 looked up between its pixels at (..., 2) -> (...,) float32."""
    from scipy.ndimage import map_coordinates

    u, v = pixel[..., 0] - 0.5, pixel[..., 1] - 0.5  # a pixel's value is that of its middle
    return map_coordinates(values, [v, u], output=np.float32, order=1, mode="nearest")


def _wall(picture: Image.Image) -> tuple[np.ndarray, float]:
    """(h, w) uint8, 255 where the photograph shows something that can be lit, and how bright the
    brightest twentieth of that is (linear).
    """
    small = picture.copy()
    small.thumbnail((STUDY_PX, STUDY_PX), Image.Resampling.BOX)
    values = np.asarray(small)
    linear = srgb_decode(values[..., :3].astype(np.float32) / 255).astype(np.float32)
    solid = (values[..., 3] > 127) & ~_frame(values[..., :3])
    wall = solid & ~_sky(linear, solid)
    bright = float(np.percentile(linear[wall], 95)) if wall.any() else 1.0
    return np.where(wall, np.uint8(255), np.uint8(0)), bright


def _frame(values: np.ndarray) -> np.ndarray:
    """(H, W) bool: the black around a photograph that was straightened or scanned elsewhere.

    What is as good as black, goes on to an edge of the photograph and nowhere far from one shows
    nothing; left there, it would also keep the sky from reaching the upper edge.
    """
    from scipy.ndimage import binary_dilation, label

    black = values.max(axis=-1) <= BLACK
    deep = int(FRAME * min(black.shape))
    edge, inner = np.zeros_like(black), np.zeros_like(black)
    edge[[0, -1]] = edge[:, [0, -1]] = True
    inner[deep : -deep or None, deep : -deep or None] = True
    parts, _ = label(black)
    outer = np.setdiff1d(parts[edge & black], parts[inner & black])
    frame = np.isin(parts, outer)
    # how JPEG rounds the step from black to picture is no picture either
    return binary_dilation(frame, iterations=3) if frame.any() else frame


def _sky(linear: np.ndarray, where: np.ndarray) -> np.ndarray:
    """(H, W) bool: the even, bright, white to blue part that reaches the photograph's upper edge.

    It gives way to the night sky: air is no wall that could be lit. What goes on down to the lower
    edge is a wall that fills the photograph.
    """
    from scipy.ndimage import (
        binary_dilation,
        binary_propagation,
        gaussian_filter,
        gaussian_gradient_magnitude,
        label,
    )

    luminance = linear @ LUMINANCE.astype(np.float32)
    lit = luminance[where]
    if not len(lit):
        return where
    bright = luminance > 0.35 * np.percentile(lit, 98)
    uneven = gaussian_gradient_magnitude(np.log(np.maximum(luminance, 1e-3)), 1.5) > 0.12
    first = np.argmax(where, axis=0)  # the upper edge, column by column
    seeds = np.zeros_like(where)
    columns = np.flatnonzero(where.any(axis=0))
    for below in range(2, 8):
        seeds[np.minimum(first[columns] + below, len(where) - 1), columns] = True
    # white paint under a blue sky is as bright but less blue; under a grey one it is told by edges
    blueness = gaussian_filter(linear[..., 2] / np.maximum(linear[..., 0], 1e-3), 1.5)
    least = np.clip(0.85 * np.percentile(blueness[seeds & where], 10), 0.8, 1.0)
    likely = where & bright & ~uneven & (blueness >= least)
    sky = binary_propagation(seeds & likely, mask=likely)
    parts, _ = label(sky)
    sky &= ~np.isin(parts, parts[-2:][parts[-2:] > 0])
    return binary_dilation(sky, iterations=3) & where if sky.any() else sky
