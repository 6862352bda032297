"""The photograph of a house read for snapping to its edges."""

from __future__ import annotations

import numpy as np

from layouts import House
from layouts.errors import InputError
from layouts.photograph.placed import likely_eye, plane_of, resized
from sim.app.edit.photo_sight import PhotoSight
from sim.light.photo_file import open_photo

#: Read no finer than this on the shorter side: half of a picture of 12 megapixels.
SHORTER_PX = 1500


def photo_sight_of(house: House) -> PhotoSight | None:
    """What snapping needs of the photograph; None where the house has none that can be read."""
    photo = house.drawing.photo
    if photo is None:
        return None
    try:
        picture = open_photo(photo.file, at_least_px=SHORTER_PX).convert("L")
    except InputError:  # the stage says what is wrong with it
        return None
    own = plane_of(photo)
    grey = np.asarray(picture, dtype=np.float32) / np.float32(255)
    return PhotoSight(grey, resized(own, picture.size), likely_eye(own, house.drawing.viewer_m))
