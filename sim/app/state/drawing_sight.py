"""From the house to the picture on show and back, enlarged or not. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from layouts import House
from sim.app.edit.commands import PointM
from sim.light.view import view_of


class Crop(NamedTuple):
    """The part of the picture that fills its place [px of the picture]."""

    x: float
    y: float
    w: float
    h: float


@dataclass(frozen=True)
class Sight:
    """Where places of the house are seen: one scale everywhere."""

    px_per_m: float
    left_m: float
    top_m: float

    def to_px(self, xy_m: np.ndarray | PointM) -> np.ndarray:
        """(..., 2) [m] → (..., 2) [px of the picture on show]."""
        xy = np.asarray(xy_m, dtype=float)
        return np.stack([(xy[..., 0] - self.left_m) * self.px_per_m,
                         (self.top_m - xy[..., 1]) * self.px_per_m], axis=-1)  # fmt: skip

    def at_px(self, point: PointM) -> tuple[float, float]:
        """One point [px]."""
        return ((point[0] - self.left_m) * self.px_per_m, (self.top_m - point[1]) * self.px_per_m)

    def to_m(self, x: float, y: float) -> PointM:
        """One point [px] → [m]."""
        return (self.left_m + x / self.px_per_m, self.top_m - y / self.px_per_m)


def crop_of(size_px: tuple[int, int], zoom: float, centre: tuple[float, float]) -> Crop:
    """What is seen of a picture enlarged around a centre, given in shares of the picture."""
    w, h = size_px[0] / zoom, size_px[1] / zoom
    x = min(max(centre[0] * size_px[0] - w / 2, 0.0), size_px[0] - w)
    y = min(max(centre[1] * size_px[1] - h / 2, 0.0), size_px[1] - h)
    return Crop(x, y, w, h)


def sight_of(
    house: House, size_px: tuple[int, int], zoom: float = 1.0,
    centre: tuple[float, float] = (0.5, 0.5),
) -> Sight:  # fmt: skip
    """How a house is seen in a picture of a size."""
    view = view_of(house.drawing, size_px)
    if zoom == 1.0:
        return Sight(view.px_per_m, view.left_m, view.top_m)
    crop = crop_of(size_px, zoom, centre)
    return Sight(view.px_per_m * zoom, view.left_m + crop.x / view.px_per_m,
                 view.top_m - crop.y / view.px_per_m)  # fmt: skip
