"""`drawing.photo` with known points: read, written back, refused by line and column, questioned."""

from __future__ import annotations

import io
import json
import zlib
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from layouts import InputError, house_findings, house_from, load_house
from layouts.change import change
from layouts.entries import house_data
from layouts.photograph import to_pixel, to_wall
from layouts.photograph.file_head import UnfitPicture, picture_size
from layouts.photograph.placed import photo_errors_m, plane_of
from layouts.records import AS_PHOTOGRAPHED
from sim.report.wording import sentence

POINTS = (
    "{pixel: [120, 640], at: [0, 0]}",
    "{pixel: [1480, 560], at: [8, 0]}",
    "{pixel: [1420, 180], at: [8, 3]}",
    "{pixel: [180.0, 60], at: [0, 3]}",
)
HOUSE = """format: evenfall-house/1
name: Photographed
units: m
drawing:
  size: [9, 5]
  photo: {{file: wall.jpg, {keys}}}
  surfaces:
    - {{name: bay, {material}depth: 0.4, outline: [[2, 0], [4, 0], [4, 2.5], [2, 2.5]]}}
runs:
  - {{name: eave, pixels: ws2815, path: [[0, 3], [8, 3]]}}
"""


@pytest.fixture
def written(tmp_path: Path):
    Image.new("RGB", (1600, 800)).save(tmp_path / "wall.jpg")

    def written(keys: str, material: str = "", text: str = HOUSE) -> Path:
        file = tmp_path / "house.yaml"
        file.write_text(text.format(keys=keys, material=material), encoding="utf-8")
        return file

    return written


def points(*each: str, lens: str = "") -> str:
    return f"points: [{', '.join(each)}]{lens}"


def test_read_and_written_back(written) -> None:
    house = load_house(written(points(*POINTS, lens=", lens: [-0.05, 0.01]")))
    photo = house.drawing.photo
    assert photo is not None
    assert (photo.size_px, photo.lens, photo.corners_m) == ((1600, 800), (-0.05, 0.01), ())
    assert [p.at_m for p in photo.points] == [(0, 0), (8, 0), (8, 3), (0, 3)]
    assert house.drawing.surfaces[0].material == AS_PHOTOGRAPHED
    data = house_data(house)
    assert "material" not in data["drawing"]["surfaces"][0]
    again = house_from(data, file=house.file)
    assert again.drawing.photo == photo
    assert house_data(again) == data
    assert change(house, name="Other").drawing.photo == photo
    pixel = [each.pixel for each in photo.points]
    assert to_wall(plane_of(photo), pixel) == pytest.approx(
        np.array([p.at_m for p in photo.points])
    )
    json.dumps(data["drawing"])  # plain Python all through


def test_feet_are_feet(written) -> None:
    text = HOUSE.replace("units: m\n", "units: ft\n")
    photo = load_house(written(points(*POINTS), text=text)).drawing.photo
    assert photo is not None
    assert photo.points[1].at_m[0] == pytest.approx(8 * 0.3048)  # international foot, 1959


def test_four_corners_and_four_points_are_the_same(written) -> None:
    corners = "corners: [[-0.2, -0.1], [8.4, 0.1], [8.3, 3.4], [-0.1, 3.2]]"
    by_corners = load_house(written(corners)).drawing.photo
    at = ("[0, 800], at: [-0.2, -0.1]", "[1600, 800], at: [8.4, 0.1]")
    at += ("[1600, 0], at: [8.3, 3.4]", "[0, 0], at: [-0.1, 3.2]")
    by_points = load_house(written(points(*(f"{{pixel: {each}}}" for each in at)))).drawing.photo
    assert by_corners is not None
    assert by_points is not None
    places = [[1, 1], [7, 2.5], [4, 0.2]]
    assert to_pixel(plane_of(by_corners), places) == pytest.approx(
        to_pixel(plane_of(by_points), places), abs=1e-8
    )


@pytest.mark.parametrize(
    ("keys", "told"),
    [
        (points(*POINTS[:3]), "6:35: 3 known points are too few; give at least four"),
        (points(), "6:35: 0 known points are too few"),
        (
            points(*POINTS[:2], "{pixel: [800, 590], at: [4, 0]}", POINTS[3]),
            "6:35: points 1, 2 and 3 lie on one line on the wall; add a point off that line",
        ),
        (points(POINTS[1], POINTS[0], *POINTS[2:]), ""),
        (
            points(*POINTS[:3], "{pixel: [180, 1060], at: [0, 3]}"),
            "6:145: pixel [180, 1060] lies outside the photo, which is 1600 × 800; count from the",
        ),
        (
            points(*POINTS[:3], "{pixel: [180, 60], at: [0, 300]}"),
            "6:160: the point lies far outside the drawing, which is 9 m wide and 5 m high; check",
        ),
        (
            points(
                POINTS[0].replace("0, 0", "8, 0"), POINTS[1].replace("8, 0", "0, 0"), *POINTS[2:]
            ),
            "6:35: no camera sees the points like that: they do not go around in the same order;"
            " see whether two of them were exchanged",
        ),
        (
            points(*(p.replace("3]}", "-3]}") for p in POINTS)),
            "6:35: the wall would be seen mirrored; count x to the right and y upwards",
        ),
        (
            points(*POINTS, lens=", lens: [-0.6, 0]"),
            "fold the photograph over itself; give a k1 nearer to 0",
        ),
        (points(*POINTS, lens=", lens: [-0.05]"), "a list of 1, where at least 2 belong"),
        (points(*POINTS, lens=", lens: [-7, 0]"), "-7 is out of range; write at least -1"),
        ("lens: [0, 0]", "6:10: the photo has neither corners nor points; give its corners"),
        (
            f"corners: [[0, 0], [8, 0], [8, 3], [0, 3]], {points(*POINTS)}",
            "6:10: the photo has both corners and points",
        ),
        (
            "corners: [[0, 0], [8, 0], [8, 3], [0, 3]], lens: [0.1, 0]",
            "a photo laid by its corners is taken as straight already; give points instead",
        ),
    ],
)
def test_refused_by_line_and_column(written, keys: str, told: str) -> None:
    file = written(keys)
    if not told:
        load_house(file)
        return
    with pytest.raises(InputError) as caught:
        load_house(file)
    assert told in str(caught.value), str(caught.value)
    (line,) = str(caught.value).splitlines()  # and nothing that only follows from it
    assert line.startswith(f"{file}:6:")


def test_a_surface_without_material_needs_a_photo(written) -> None:
    text = "\n".join(line for line in HOUSE.splitlines() if "photo:" not in line)
    file = written("", text=text)
    with pytest.raises(
        InputError, match="7:7: surface 'bay' has no material, and there is no photo"
    ):
        load_house(file)


def test_points_that_disagree_are_questioned(written) -> None:
    fits = "{pixel: [936.6667, 351.0256], at: [4, 1.5]}"
    house = load_house(written(points(*POINTS, fits)))
    assert photo_errors_m(house.drawing.photo).max() < 1e-5
    assert "photo-fit" not in {each.code for each in house_findings(house)}
    house = load_house(written(points(*POINTS, fits.replace("4, 1.5", "4.3, 1.5"))))
    (found,) = [each for each in house_findings(house) if each.code == "photo-fit"]
    off = photo_errors_m(house.drawing.photo)
    assert (found.level, found.limit, found.value) == ("warning", 0.05, pytest.approx(off.max()))
    assert found.value > 0.05
    told = sentence(found)
    assert (
        f"point {off.argmax() + 1} of 5 lies {100 * off.max():.1f} cm from where the others" in told
    )


@pytest.mark.parametrize("orientation", range(1, 9))
def test_the_size_is_that_of_the_picture_as_seen(tmp_path: Path, orientation: int) -> None:
    exif = Image.Exif()
    exif[274] = orientation
    Image.new("RGB", (48, 32)).save(tmp_path / "turned.jpg", exif=exif)
    # what Pillow itself makes of it
    with Image.open(tmp_path / "turned.jpg") as opened:
        seen = ImageOps.exif_transpose(opened).size
    assert picture_size(tmp_path / "turned.jpg") == seen


def test_a_picture_of_50000_by_50000_is_refused(tmp_path: Path) -> None:
    """Its head alone: a width and a height written into a small PNG."""
    import struct

    into = io.BytesIO()
    Image.new("L", (8, 8)).save(into, "PNG")
    raw = bytearray(into.getvalue())
    raw[16:24] = struct.pack(">II", 50_000, 50_000)
    raw[29:33] = struct.pack(">I", zlib.crc32(raw[12:29]))
    (tmp_path / "wall.jpg").write_bytes(raw)
    with pytest.raises(UnfitPicture, match="more than 89 million pixels"):
        picture_size(tmp_path / "wall.jpg")
    file = tmp_path / "house.yaml"
    file.write_text(HOUSE.format(keys=points(*POINTS), material=""), encoding="utf-8")
    with pytest.raises(InputError, match=r"6:17: 'wall\.jpg' has more than 89 million pixels"):
        load_house(file)


def test_a_viewer_the_photograph_contradicts_is_noted(tmp_path: Path) -> None:
    """The demo's camera stood 14 m away, before x = 8.1 m: demo/pictures/photograph.py."""
    demo = Path(__file__).resolve().parents[2] / "demo" / "photo"
    (tmp_path / "house.jpg").write_bytes((demo / "house.jpg").read_bytes())
    text = (demo / "house.yaml").read_text(encoding="utf-8")
    codes = {}
    for viewer in ("14", "60"):
        file = tmp_path / "house.yaml"
        file.write_text(text.replace("viewer: 14", f"viewer: {viewer}"), encoding="utf-8")
        codes[viewer] = {each.code: each for each in house_findings(load_house(file))}
    assert "photo-distance" not in codes["14"]
    found = codes["60"].get("photo-distance")
    assert found is not None
    assert found.limit == 60
    assert found.value == pytest.approx(14, rel=0.35)
    assert "was taken from about" in sentence(found)


def test_a_part_behind_the_camera_is_refused(written) -> None:
    text = HOUSE.replace("depth: 0.4", "depth: 40 m")
    with pytest.raises(InputError, match=r"surface 'bay' would stand behind the camera, which was"):
        load_house(written(points(*POINTS), text=text))


@pytest.mark.parametrize("behind", [False, True])
def test_exif_of_a_png_counts_before_and_behind_its_pixels(tmp_path, behind):
    """PNG 3 (W3C): eXIf may stand before or behind IDAT."""
    exif = Image.Exif()
    exif[274] = 6
    file = tmp_path / "a.png"
    Image.new("RGB", (40, 20)).save(file, exif=exif)
    data = file.read_bytes()
    at = data.index(b"eXIf") - 4
    end = at + 12 + int.from_bytes(data[at : at + 4], "big")
    chunk, rest = data[at:end], data[:at] + data[end:]
    assert zlib.crc32(chunk[4:-4]) == int.from_bytes(chunk[-4:], "big")
    place = rest.index(b"IEND" if behind else b"IDAT") - 4
    file.write_bytes(rest[:place] + chunk + rest[place:])
    assert picture_size(file) == (20, 40)
