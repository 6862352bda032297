"""Where things are in the picture: metres of the house to pixels of the picture and back.

The house is drawn in elevation: one scale everywhere, as on an architect's façade drawing. Below
y = 0 lies the ground, drawn as an eye 1.6 m above it sees it from `viewer_m` away; so a place of
the picture below the house is a place on the lawn.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.records import Drawing
from sim.light.photo_shape import left_over_photo

#: How a lit place faces: upright to the street, flat to the sky, every way at once, flat downwards.
WALL, GROUND, LEAVES, UNDER = 0, 1, 2, 3

EYE_M = 1.6  # height of the eyes of a standing person [common practice, no source]
FORESHARE = 1 / 7  # height of the ground below the house, in heights of the drawing
SPARE_GROUND = 0.3  # of the height a picture has over; the sky has the rest


@dataclass(frozen=True)
class View:
    """The picture's place in house coordinates."""

    size_px: tuple[int, int]  # width, height
    px_per_m: float
    left_m: float  # x of the picture's left edge
    top_m: float  # y of its upper edge
    eye_m: tuple[float, float, float]  # x, y, z of who looks

    @property
    def pixel_m(self) -> float:
        """Side of one picture pixel at the house [m]."""
        return 1 / self.px_per_m

    def to_px(self, xy_m: np.ndarray) -> np.ndarray:
        """(..., 2) house coordinates [m] -> (..., 2) picture coordinates [px], y downwards."""
        xy = np.asarray(xy_m, dtype=float)
        return np.stack(
            [(xy[..., 0] - self.left_m) * self.px_per_m, (self.top_m - xy[..., 1]) * self.px_per_m],
            axis=-1,
        )

    def to_m(self, xy_px: np.ndarray) -> np.ndarray:
        """(..., 2) picture coordinates [px] -> (..., 2) house coordinates [m]."""
        xy = np.asarray(xy_px, dtype=float)
        return np.stack(
            [self.left_m + xy[..., 0] * self.pixel_m, self.top_m - xy[..., 1] * self.pixel_m],
            axis=-1,
        )

    def ground_m(
        self, x_m: np.ndarray | float, y_m: np.ndarray | float
    ) -> tuple[np.ndarray, np.ndarray]:
        """Picture place below the horizon [m] -> (x, z) of the ground there [m].

        The line of sight from the eye through (x, y, 0) meets the ground where its height is 0.
        """
        eye_x, eye_y, eye_z = self.eye_m
        reach = eye_y / np.maximum(eye_y - np.asarray(y_m, dtype=float), 0.02 * eye_y)
        return eye_x + (x_m - eye_x) * reach, eye_z * (1 - reach)

    def place(
        self,
        x_m: np.ndarray | float,
        y_m: np.ndarray | float,
        depth_m: np.ndarray | float,
        facing: np.ndarray | int,
    ) -> np.ndarray:
        """What is drawn at (x, y) of a sheet -> (..., 3) where that is in space [m].

        Ground reaches no farther back than its depth: lawn drawn up to a sill above y = 0 still
        lies before the house.
        """
        flat = np.asarray(facing) == GROUND
        ground_x, ground_z = self.ground_m(x_m, y_m)
        return np.stack(
            np.broadcast_arrays(
                np.where(flat, ground_x, x_m),
                np.where(flat, 0.0, y_m),
                np.where(flat, np.maximum(ground_z, depth_m), depth_m),
            ),
            axis=-1,
        )


def view_of(drawing: Drawing, size_px: tuple[int, int]) -> View:
    """The whole drawing in the middle of a picture of `size_px`, with ground below it; of a house
    on a photograph the middle of that, as far as the drawing stays whole."""
    width_m, height_m = drawing.size_m
    tall_m = height_m * (1 + FORESHARE)
    width_px, height_px = size_px
    scale = min(width_px / width_m, height_px / tall_m)
    left_m = width_m / 2 - width_px / scale / 2
    if drawing.photo is not None:
        left_m = left_over_photo(drawing.photo, width_m, width_px / scale)
    spare_m = height_px / scale - tall_m
    top_m = height_m + (1 - SPARE_GROUND) * spare_m
    return View(
        (int(width_px), int(height_px)),
        scale,
        left_m,
        top_m,
        (width_m / 2, EYE_M, drawing.viewer_m),
    )
