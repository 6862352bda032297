"""The photograph in the picture: straightened, its parts at their places, its sky given way."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms

from layouts import load_house
from layouts.photograph import Plane, seen_on_wall, to_pixel
from layouts.photograph.placed import likely_eye, plane_of
from layouts.records import AS_PHOTOGRAPHED, Drawing, KnownPoint, Photo, Surface
from sim.frame import scene as scene_of
from sim.light.canvas import paint
from sim.light.night import HOURS
from sim.light.photo import beside_photo, lay_photo, photo_reflectance, wall_seen
from sim.light.photo_file import open_photo
from sim.light.photo_place import photo_covers
from sim.light.view import GROUND, View, view_of

ROOT = Path(__file__).resolve().parents[2]
SIZE = (1200, 900)
EYE = np.array([4.0, 1.6, 9.0])
FOCAL = 900.0
LENS = (-0.06, 0.0)
GREY, RED, WHITE = (110, 110, 110), (220, 20, 20), (235, 235, 235)


def pinhole(xyz: np.ndarray) -> np.ndarray:
    """A camera of this test, level and straight on: (..., 3) -> (..., 2) ideal pixels."""
    seen = np.asarray(xyz, dtype=float) - EYE
    middle = np.array(SIZE) / 2
    return middle + FOCAL * np.stack([seen[..., 0], -seen[..., 1]], axis=-1) / -seen[..., 2:]


def photographed(folder: Path, lens=LENS) -> Photo:
    """A grey wall with a white square on it, and a red board 1 m before it; bent by a lens."""
    v, u = np.mgrid[0 : SIZE[1], 0 : SIZE[0]] + 0.5
    half = np.hypot(*SIZE) / 2
    at = np.stack([u, v], axis=-1)
    ideal = at - np.array(SIZE) / 2
    for _ in range(60):  # Brown's formula turned around by fixed point, here and not there
        r2 = np.sum((ideal / half) ** 2, axis=-1, keepdims=True)
        ideal = (at - np.array(SIZE) / 2) / (1 + lens[0] * r2 + lens[1] * r2**2)
    way = ideal / FOCAL
    picture = np.full((*SIZE[::-1], 3), GREY, dtype=np.uint8)
    for z, (x0, y0, x1, y1), colour in (
        (0.0, (5.0, 2.0, 6.0, 3.0), WHITE), (1.0, (1.0, 0.5, 2.0, 2.5), RED),
    ):  # fmt: skip
        x, y = EYE[0] + way[..., 0] * (EYE[2] - z), EYE[1] - way[..., 1] * (EYE[2] - z)
        picture[(x > x0) & (x < x1) & (y > y0) & (y < y1)] = colour
    Image.fromarray(picture).save(folder / "wall.png")
    corners = np.array([[1.0, 0.0], [7, 0], [7, 4], [1, 4]])
    ideal = pinhole(np.column_stack([corners, np.zeros(4)])) - np.array(SIZE) / 2
    r2 = np.sum((ideal / half) ** 2, axis=-1, keepdims=True)
    seen = ideal * (1 + lens[0] * r2 + lens[1] * r2**2) + np.array(SIZE) / 2
    pairs = zip(seen.tolist(), corners.tolist(), strict=True)
    points = tuple(KnownPoint((u, v), (x, y)) for (u, v), (x, y) in pairs)
    return Photo(str(folder / "wall.png"), (), points, lens, SIZE)


def box_of(where: np.ndarray, view: View) -> list[float]:
    """x0, y0, x1, y1 [m] of what is True."""
    rows, columns = np.flatnonzero(where.any(axis=1)), np.flatnonzero(where.any(axis=0))
    (x0, y1), (x1, y0) = view.to_m(
        np.array([[columns[0], rows[0]], [columns[-1] + 1, rows[-1] + 1]])
    )
    return [float(each) for each in (x0, y0, x1, y1)]


def test_a_square_on_the_wall_comes_out_where_it_is(tmp_path: Path) -> None:
    view = view_of(Drawing((8, 4.5), 9.0, ()), (800, 500))
    reflectance, _ = photo_reflectance(photographed(tmp_path), view)
    white = reflectance.min(axis=-1) > 0.87  # the grey, which is most of it, counts as 0.75
    assert box_of(white, view) == pytest.approx([5, 2, 6, 3], abs=0.02)
    # nothing but the square: its area is 1 m²
    assert white.sum() * view.pixel_m**2 == pytest.approx(1.0, rel=0.02)


def test_a_part_before_the_wall_is_laid_to_its_true_place(tmp_path: Path) -> None:
    photo = photographed(tmp_path)
    board = np.array([[1.0, 0.5], [2, 0.5], [2, 2.5], [1, 2.5]])
    drawing = Drawing((8, 4.5), 9.0, (Surface("board", board, AS_PHOTOGRAPHED, 1.0),), photo)
    view = view_of(drawing, (800, 500))
    canvas = paint(drawing, view, HOURS["evening"])
    shade = canvas.shade[0]
    red = (shade[..., 0] > 4 * shade[..., 1]) & (shade[..., 0] > 0.2)
    assert box_of(red, view) == pytest.approx([1, 0.5, 2, 2.5], abs=0.03)
    assert {sheet.depth_m for sheet in canvas.sheets} == {0.0, 1.0}
    # and as the camera saw it on the wall: larger about the foot of the eye by 9 / (9 − 1)
    flat, _ = photo_reflectance(photo, view)
    seen = EYE[:2] + (board - EYE[:2]) * 9 / 8
    low, high = seen.min(axis=0), seen.max(axis=0)
    on_wall = (flat[..., 0] > 4 * flat[..., 1]) & (flat[..., 0] > 0.2)
    assert box_of(on_wall, view) == pytest.approx([*low, *high], abs=0.03)
    # what it hid of the wall is filled from beside it, and holds nothing red
    wall, where = wall_seen(lay_photo(photo, view, 9.0), drawing, view)
    assert not (wall[..., 0] > 2 * wall[..., 1]).any()
    assert where.all() == photo_covers(photo, view).all()


def test_beside_a_photograph_its_edge_goes_on_and_fades(tmp_path: Path) -> None:
    photo = photographed(tmp_path)
    drawing = Drawing((30, 6), 9.0, (), photo)
    view = view_of(drawing, (900, 200))
    laid = lay_photo(photo, view, 9.0)
    reflectance, beside = beside_photo(laid, view)
    covered = photo_covers(photo, view)
    assert beside.any()
    assert not (beside & covered).any()
    over = covered.any(axis=0)  # above it is the sky
    assert not (beside[:, over] & (np.cumsum(covered[:, over], axis=0) == 0)).any()
    row = int(np.flatnonzero(beside.any(axis=1))[-1])
    outside = np.flatnonzero(beside[row] & (np.arange(beside.shape[1]) > view.size_px[0] / 2))
    bright = reflectance[row, outside].sum(axis=-1)
    assert bright[-1] < 0.2 * bright[0]
    assert np.all(np.diff(bright) <= 1e-6)  # one value at the edge, fading


def test_the_eye_is_the_viewers_where_the_photo_does_not_speak_against_it(tmp_path) -> None:
    plane = plane_of(photographed(tmp_path))
    assert likely_eye(plane, 9.0) == pytest.approx(EYE, abs=1e-3)
    board = np.array([[1.0, 0.5]])
    assert to_pixel(plane, board, 1.0, likely_eye(plane, 9.0)) == pytest.approx(
        to_pixel(plane, seen_on_wall(board, 1.0, EYE)), abs=0.05
    )
    assert isinstance(plane, Plane)


def test_photographed_ground_lies_flat(tmp_path: Path) -> None:
    lawn = np.array([[0.0, -1], [8, -1], [8, 0], [0, 0]])
    drawing = Drawing(
        (8, 4.5), 9.0, (Surface("lawn", lawn, AS_PHOTOGRAPHED, 0.0),), photographed(tmp_path)
    )
    canvas = paint(drawing, view_of(drawing, (400, 250)), HOURS["evening"])
    assert [sheet.facing == GROUND for sheet in canvas.sheets] == [False, True]


def test_white_trim_is_no_sky(tmp_path: Path) -> None:
    """White boards as bright as the sky, reaching from it down to white paving."""
    picture = np.zeros((300, 400, 3))
    picture[:] = (196, 212, 235)
    picture[120:] = (150, 120, 90)
    picture[110:130, 50:350] = (226, 226, 224)
    picture[120:, 60:90] = (226, 226, 224)
    picture[280:] = (220, 219, 214)
    noisy = picture + np.random.default_rng(0).normal(0, 3, picture.shape)
    Image.fromarray(np.clip(noisy, 0, 255).astype(np.uint8)).save(tmp_path / "day.jpg", quality=90)
    photo = Photo(str(tmp_path / "day.jpg"), ((0, 0), (8, 0), (8, 6), (0, 6)))
    _, where = photo_reflectance(photo, View((400, 300), 50, 0, 6, (4, 1.6, 10)))
    assert where[150:].all()
    assert not where[:95].any()


def test_the_demo_is_lit(tmp_path: Path) -> None:
    house = load_house(ROOT / "demo" / "photo" / "house.yaml")
    scene = scene_of(house, (320, 200))
    assert {sheet.depth_m for sheet in scene.sheets if sheet.texture == "photo"} >= {
        -0.6,
        0.0,
        0.42,
    }
    assert (scene.sheet[:12] < 0).all()  # the night sky stands where the photograph had its own


def large(folder: Path, ending: str) -> Path:
    small = np.random.default_rng(1).integers(60, 220, (40, 60, 3), dtype=np.uint8)
    file = folder / f"large.{ending}"
    Image.fromarray(small).resize((3000, 2000), Image.Resampling.BICUBIC).save(file)
    return file


@pytest.mark.parametrize("ending", ["jpg", "png"])
def test_read_no_finer_than_needed(tmp_path: Path, ending: str) -> None:
    file = large(tmp_path, ending)
    whole = open_photo(str(file))
    assert whole.size == (3000, 2000)
    less = open_photo(str(file), at_least_px=450)
    assert 450 <= min(less.size) < 900
    shrunk = np.asarray(whole.resize(less.size, Image.Resampling.BOX)).astype(int)
    assert np.abs(np.asarray(less).astype(int) - shrunk).mean() < 2


@pytest.mark.parametrize("orientation", range(1, 9))
def test_turned_upright_when_read_smaller(tmp_path: Path, orientation: int) -> None:
    exif = Image.Exif()
    exif[274] = orientation
    file = large(tmp_path, "jpg")
    Image.open(file).save(tmp_path / "turned.jpg", exif=exif)
    wide, tall = open_photo(str(tmp_path / "turned.jpg"), at_least_px=400).size
    assert (wide > tall) == (orientation < 5)  # Exif 2.32: 5 to 8 stand on their side


def test_colours_of_a_profile_become_srgb(tmp_path: Path) -> None:
    """A profile of sRGB changes nothing; what is no profile is left aside."""
    made = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB"))
    picture = Image.new("RGB", (16, 16), (200, 100, 50))
    picture.save(tmp_path / "own.jpg", quality=95, icc_profile=made.tobytes())
    got = np.asarray(open_photo(str(tmp_path / "own.jpg")))[8, 8, :3].astype(int)
    assert np.abs(got - (200, 100, 50)).max() <= 3
    # a profile that is none is left aside
    picture.save(tmp_path / "odd.jpg", quality=95, icc_profile=b"no profile")
    got = np.asarray(open_photo(str(tmp_path / "odd.jpg")))[8, 8, :3].astype(int)
    assert np.abs(got - (200, 100, 50)).max() <= 3


def test_sixteen_bits_of_colour(tmp_path: Path) -> None:
    """A PNG of 16 bits a colour, its bytes written by hand after ISO 15948."""
    import struct
    import zlib

    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    row = b"\0" + struct.pack(">3H", 51_400, 25_700, 12_850) * 8
    png = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", struct.pack(">IIBBBBB", 8, 8, 16, 2, 0, 0, 0))
    png += chunk(b"IDAT", zlib.compress(row * 8)) + chunk(b"IEND", b"")
    (tmp_path / "deep.png").write_bytes(png)
    got = np.asarray(open_photo(str(tmp_path / "deep.png")))[4, 4, :3].astype(int)
    assert np.abs(got - (200, 100, 50)).max() <= 1  # 51400 / 257, and so on
