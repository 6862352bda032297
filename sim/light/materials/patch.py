"""What a texture gets and gives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, eq=False)
class Patch:
    """A rectangle of the picture that a surface is painted into.

    `x` and `y` [m] broadcast to (h, w): a row and a column on upright walls; on the ground both are
    full, x along the street and y the distance towards the viewer.
    """

    x: np.ndarray
    y: np.ndarray
    pixel_m: float  # side of a picture pixel
    box_m: tuple[float, float, float, float]  # left, bottom, right, top of the surface
    seed: int
    solid: np.ndarray | None = None  # (h, w) coverage of the outline, for what grows out of it
    pitch: float = 0.8  # of a roof: rise over run
    eye_m: tuple[float, float] = (0.0, np.inf)  # x of the eye, and its distance from the surface

    @property
    def across(self) -> np.ndarray:
        """0 at the surface's left, 1 at its right."""
        return (self.x - self.box_m[0]) / (self.box_m[2] - self.box_m[0])

    @property
    def up(self) -> np.ndarray:
        """0 at the surface's bottom, 1 at its top."""
        return (self.y - self.box_m[1]) / (self.box_m[3] - self.box_m[1])

    @property
    def size_m(self) -> tuple[float, float]:
        """Width and height of the surface [m]."""
        return self.box_m[2] - self.box_m[0], self.box_m[3] - self.box_m[1]


@dataclass(frozen=True, eq=False)
class Look:
    """How a patch looks; arrays broadcast to (h, w, 3)."""

    shade: np.ndarray  # factor on the material's own reflectance; only its contrasts count
    glow: np.ndarray | None = None  # own light, in units of the hour's lit windows
    sheen: np.ndarray | None = None  # mirrored share of the sky near the horizon
    cover: np.ndarray | None = None  # (h, w) what it covers, where that is not its outline
