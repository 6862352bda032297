"""The shape of a photographed house's picture, and photographs with a black frame."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image

from layouts.records import Drawing, Photo
from sim.light.photo import photo_reflectance
from sim.light.photo_shape import usual_size
from sim.light.view import View, view_of


def house(photo):
    return SimpleNamespace(drawing=Drawing((10, 6), 14.0, (), photo))


@pytest.mark.parametrize(
    ("size_px", "shape"),
    [
        ((1600, 1200), (960, 720)),  # 4:3, 720 high
        ((4000, 2250), (1280, 720)),  # 16:9
        ((3000, 4000), (540, 720)),  # upright
        ((6000, 2000), (1280, 426)),  # 3:1, 1280 wide, 426.7 to an even number
    ],
)
def test_a_picture_has_the_shape_of_the_photograph(size_px, shape):
    corners = ((-2, -1), (14, -1), (14, 11), (-2, 11))
    assert usual_size(house(Photo("x.jpg", corners, size_px=size_px))) == shape
    assert usual_size(house(None)) == (1280, 720)


def test_the_photograph_lies_in_the_middle_while_the_drawing_is_whole():
    corners = ((-4.0, -1.0), (12.0, -1.0), (12.0, 11.0), (-4.0, 11.0))  # its middle is at x = 4
    drawing = Drawing((10, 6), 14.0, (), Photo("x.jpg", corners))
    # 6 m and a seventh more are 720 px high: 105 px/m; 1920 px show 18.29 m, from 4 − 9.14 on
    view = view_of(drawing, (1920, 720))
    assert view.left_m == pytest.approx(4 - 1920 / 105 / 2)
    # 1280 px show 12.19 m: of 4 ± 6.10 the drawing's right edge at 10 m is still within
    assert view_of(drawing, (1280, 720)).left_m == pytest.approx(4 - 1280 / 105 / 2)
    # 1100 px show 10.48 m: no farther left than that the drawing ends at the picture's edge
    assert view_of(drawing, (1100, 720)).left_m == pytest.approx(10 - 1100 / 105)
    assert view_of(Drawing((10, 6), 14.0, ()), (1920, 720)).left_m == pytest.approx(
        5 - 1920 / 105 / 2
    )


def test_a_black_frame_does_not_keep_the_sky(tmp_path):
    """As a photograph has it that was turned or straightened by hand."""
    picture = np.zeros((450, 600, 3), np.uint8)
    picture[:] = (150, 190, 235)
    picture[225:] = (150, 120, 90)
    picture[:20] = picture[:, :15] = picture[:, -15:] = 0
    Image.fromarray(picture).save(tmp_path / "day.jpg", quality=90)
    photo = Photo(str(tmp_path / "day.jpg"), ((0, 0), (8, 0), (8, 6), (0, 6)))
    _, where = photo_reflectance(photo, View((400, 300), 50, 0, 6, (4, 1.6, 10)))
    assert where[:140, 20:-20].mean() < 0.01  # sky is no wall to be lit
    assert where[160:, 20:-20].mean() > 0.99
    assert not where[:, :6].any()  # nor is the frame


def test_a_dark_part_of_the_photograph_is_no_frame(tmp_path):
    picture = np.full((450, 600, 3), 160, np.uint8)
    picture[:, :200] = 0  # a black wall, a third of the picture wide
    Image.fromarray(picture).save(tmp_path / "day.png")
    photo = Photo(str(tmp_path / "day.png"), ((0, 0), (8, 0), (8, 6), (0, 6)))
    _, where = photo_reflectance(photo, View((400, 300), 50, 0, 6, (4, 1.6, 10)))
    assert where.all()
