"""Which shape the picture of a photographed house has, and where the photograph lies in it."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from layouts.kept_with import kept_with_first
from layouts.photograph import to_wall
from layouts.photograph.file_head import UnfitPicture, picture_size
from layouts.photograph.placed import plane_of
from layouts.records import House, Photo

#: A picture for which nobody asks a size [px].
USUAL_PX = (1280, 720)


def usual_size(house: House) -> tuple[int, int]:
    """Width and height [px] of a picture for which nobody asks any: of a house on a photograph the
    shape of that, no side larger than usual; even, as films need it."""
    photo = house.drawing.photo
    if photo is None:
        return USUAL_PX
    try:
        wide, tall = photo.size_px if all(photo.size_px) else picture_size(Path(photo.file))
    except UnfitPicture:  # which is told, with its line, where the picture is drawn
        return USUAL_PX
    scale = min(USUAL_PX[0] / wide, USUAL_PX[1] / tall)
    width, height = (max(16, 2 * round(side * scale / 2)) for side in (wide, tall))
    return width, height


def left_over_photo(photo: Photo, drawn_m: float, shown_m: float) -> float:
    """x [m] of the left edge of a picture that shows `shown_m`, of which the drawing has `drawn_m`.

    The photograph shows more than the drawing, on either side: it lies in the middle, so that no
    side has a bar of nothing while the other one is cut, as far as the drawing is seen whole.
    """
    low, high = drawn_m - shown_m, 0.0  # of the left edge, with all of the drawing in sight
    ends = _ends_m(photo)
    middle = drawn_m / 2 if ends is None else (ends[0] + ends[1]) / 2
    return float(np.clip(middle - shown_m / 2, low, high))


@kept_with_first
def _ends_m(photo: Photo) -> tuple[float, float] | None:
    """x [m] of the photograph's left and right edge half way up; None past the wall's horizon."""
    plane = plane_of(photo)
    wide, tall = plane.size_px
    x = to_wall(plane, np.array([[0.0, tall / 2], [wide, tall / 2]]))[:, 0]
    return (float(x[0]), float(x[1])) if np.isfinite(x).all() else None
