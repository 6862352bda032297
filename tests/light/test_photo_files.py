"""Photographs as they come from phones and scanners, and files that are none."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image, ImageFile

from layouts import InputError
from layouts.records import Photo
from sim.light.photo import photo_reflectance
from sim.light.photo_file import FORMATS, open_photo
from sim.light.view import View

#: Upright: red and green above, blue and white below, wider than high.
UPRIGHT = np.zeros((32, 48, 3), np.uint8)
UPRIGHT[:16, :24], UPRIGHT[:16, 24:] = (200, 0, 0), (0, 200, 0)
UPRIGHT[16:, :24], UPRIGHT[16:, 24:] = (0, 0, 200), (220, 220, 220)

# What is stored so that the picture is seen as UPRIGHT. Orientation names the side on which the
# stored first row and first column are seen: Exif 2.32 (CIPA DC-008), tag 274.
STORED = {
    1: UPRIGHT,  # top, left
    2: UPRIGHT[:, ::-1],  # top, right
    3: UPRIGHT[::-1, ::-1],  # bottom, right
    4: UPRIGHT[::-1],  # bottom, left
    5: UPRIGHT.swapaxes(0, 1),  # left, top
    6: UPRIGHT[:, ::-1].swapaxes(0, 1),  # right, top
    7: UPRIGHT[::-1, ::-1].swapaxes(0, 1),  # right, bottom
    8: UPRIGHT[::-1].swapaxes(0, 1),  # left, bottom
}


@pytest.mark.parametrize("ending", ["png", "jpg", "webp", "tif"])
@pytest.mark.parametrize("orientation", sorted(STORED))
def test_turned_upright(tmp_path, orientation, ending):
    file = tmp_path / f"house.{ending}"
    exif = Image.Exif()
    exif[274] = orientation
    how = {"quality": 95, "subsampling": 0} if ending == "jpg" else {}
    how = {"lossless": True} if ending == "webp" else how
    Image.fromarray(STORED[orientation]).save(file, exif=exif, **how)
    got = np.asarray(open_photo(str(file)))
    assert got.shape == (32, 48, 4)
    assert np.abs(got[..., :3].astype(int) - UPRIGHT).mean() < 6  # JPEG blurs the middle lines


def test_sixteen_bits_of_grey_keep_their_tones(tmp_path):
    ramp = np.linspace(0, 65535, 64).astype(np.uint16)[None].repeat(8, axis=0)
    for ending in ("png", "tif"):
        Image.fromarray(ramp).save(tmp_path / f"grey.{ending}")
        got = np.asarray(open_photo(str(tmp_path / f"grey.{ending}")))
        assert got[..., 0] == pytest.approx(ramp / 257, abs=0.5)


def test_printers_inks_become_colours(tmp_path):
    inks = np.zeros((8, 8, 4), np.uint8)
    inks[..., 1:3] = 255  # full magenta and yellow print red
    Image.fromarray(inks, "CMYK").save(tmp_path / "inks.jpg", quality=95)
    red = np.asarray(open_photo(str(tmp_path / "inks.jpg")))[4, 4]
    assert red[0] > 200
    assert red[1:3].max() < 60


@pytest.mark.parametrize("ending", ["png", "webp", "tif"])
def test_of_several_pictures_the_first(tmp_path, ending):
    frames = [Image.new("RGB", (16, 16), colour) for colour in ((250, 0, 0), (0, 0, 250))]
    file = tmp_path / f"moving.{ending}"
    frames[0].save(file, save_all=True, append_images=frames[1:])
    assert np.asarray(open_photo(str(file)))[8, 8, 0] > 200


def test_what_is_transparent_gives_way(tmp_path):
    cut = np.full((40, 40, 4), 120, np.uint8)
    cut[..., 3] = 255
    cut[:20, :, 3] = 0
    Image.fromarray(cut).save(tmp_path / "cut.png")
    photo = Photo(str(tmp_path / "cut.png"), ((0, 0), (4, 0), (4, 4), (0, 4)))
    _, where = photo_reflectance(photo, View((40, 40), 10, 0, 4, (2, 1.6, 8)))
    assert not where[:18].any()
    assert where[22:].all()


def bytes_of(how: str, **more: object) -> bytes:
    into = io.BytesIO()
    noise = np.random.default_rng(1).integers(0, 255, (64, 64, 3), dtype=np.uint8)
    Image.fromarray(noise).save(into, how, **more)
    return into.getvalue()


BROKEN = {
    "notes.jpg": b"not a picture",
    "nothing.png": b"",
    "half.png": bytes_of("PNG")[:4000],
    "half.jpg": bytes_of("JPEG")[:1500],
    "half.webp": bytes_of("WEBP")[:1500],
    "half.tif": bytes_of("TIFF")[:4000],
    "head.png": b"\x89PNG\r\n\x1a\n",
    "hurt.png": bytes_of("PNG")[:60] + b"\0" * 40 + bytes_of("PNG")[100:],
    "other.png": bytes_of("GIF"),  # a format that is not asked for, whatever its ending says
    "other.jpg": bytes_of("BMP"),
}


@pytest.mark.parametrize("name", sorted(BROKEN))
def test_refused_in_one_line(tmp_path, name):
    file = tmp_path / name
    file.write_bytes(BROKEN[name])
    with pytest.raises(InputError) as caught:
        open_photo(str(file))
    (line,) = str(caught.value).splitlines()
    assert line.startswith(f"{file}:1:1: this is no picture that can be read (")
    assert "PNG, JPEG, WebP or TIFF" in line


@pytest.mark.parametrize("name", ["half.png", "half.jpg", "half.webp", "half.tif"])
def test_half_is_refused_whatever_another_library_asked_of_pillow(tmp_path, monkeypatch, name):
    monkeypatch.setattr(ImageFile, "LOAD_TRUNCATED_IMAGES", True)
    test_refused_in_one_line(tmp_path, name)
    assert ImageFile.LOAD_TRUNCATED_IMAGES  # theirs is as it was


def test_too_large_is_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(Image, "MAX_IMAGE_PIXELS", 1000)
    for side in (40, 80):  # Pillow warns up to twice its limit, and refuses beyond
        Image.new("RGB", (side, side)).save(tmp_path / "large.png")
        with pytest.raises(InputError, match="more than 1,000 pixels"):
            open_photo(str(tmp_path / "large.png"))


def test_only_still_formats_are_tried():
    assert set(FORMATS) == {"PNG", "JPEG", "WEBP", "TIFF"}


def day(wide: int, tall: int) -> Image.Image:
    """Blue sky over a light wall with a darker edge to its roof, noisy as photographs are."""
    picture = np.zeros((tall, wide, 3))
    picture[: tall // 2] = (170, 200, 240)
    picture[tall // 2 :] = (200, 195, 190)
    picture[tall // 2 : tall // 2 + max(2, tall // 60)] = (60, 50, 50)
    picture += np.random.default_rng(2).normal(0, 3, picture.shape)
    return Image.fromarray(np.clip(picture, 0, 255).astype(np.uint8))


@pytest.mark.parametrize("photo_px", [(600, 450), (2400, 1800)])
@pytest.mark.parametrize("size_px", [(48, 36), (160, 120), (800, 600)])
def test_the_sky_ends_at_the_roof_whatever_the_size(tmp_path, photo_px, size_px):
    day(*photo_px).save(tmp_path / "day.png")
    photo = Photo(str(tmp_path / "day.png"), ((0, 0), (8, 0), (8, 6), (0, 6)))
    scale = size_px[0] / 8
    _, where = photo_reflectance(photo, View(size_px, scale, 0, 6, (4, 1.6, 10)))
    rows = where.mean(axis=1)
    roof = size_px[1] // 2
    edge = 1 + round(0.02 * size_px[1])  # the roof's dark edge may go with the sky
    assert rows[: roof - edge].max() < 0.01
    assert rows[roof + edge :].min() > 0.99
