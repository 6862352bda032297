"""`new --photo` without a window: the same house from points and from lengths, or told why not."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from typer.testing import CliRunner

from effects import bind, load_scheme
from layouts import EvenfallError, load_house
from layouts.photograph import fit_plane, rectangle_m, to_pixel, to_wall
from layouts.photograph.placed import plane_of
from sim.cli.main import app
from sim.cli.new_photo import from_photo

SIZE = (1600, 1200)
WALL_PX = np.array([[120, 840], [1480, 760], [1420, 380], [180, 260]], dtype=float)
PLANE = fit_plane(WALL_PX, rectangle_m(8, 3), SIZE)
POINTS = ["120,840 = 0,0", "1480,760=8 m, 0", "1420, 380 = 800 cm, 3m", "180,260 = 0 m,3"]


@pytest.fixture
def photo(tmp_path: Path) -> Path:
    file = tmp_path / "my house.jpg"
    Image.new("RGB", SIZE, (90, 120, 150)).save(file)
    return file


def made(tmp_path: Path, photo: Path, points=(), eaves=(), lengths=(), viewer=None, **more):
    folder = tmp_path / "made"
    units, name = more.get("units"), more.get("name")
    return from_photo(folder, photo, list(points), list(eaves), list(lengths), viewer, units, name)


def test_from_points(tmp_path, photo, capsys) -> None:
    more = "{:.2f},{:.2f} = 4,1.5".format(*to_pixel(PLANE, [4.02, 1.5]))
    house_file, copy, scheme = made(tmp_path, photo, [*POINTS, more], name="Mine")
    assert copy.read_bytes() == photo.read_bytes()
    told = capsys.readouterr().err
    assert "point 5: " in told
    assert " cm off; a pixel there is 0.6" in told
    house = load_house(house_file)
    assert house.name == "Mine"
    bind(house, load_scheme(scheme, house))
    # the picture's right edge and top on the wall, as far as they are near enough to matter
    assert 8.6 <= house.drawing.size_m[0] <= 24.0
    assert 4.5 <= house.drawing.size_m[1] <= 5.3
    assert house.drawing.photo is not None
    assert to_wall(plane_of(house.drawing.photo), WALL_PX) == pytest.approx(
        rectangle_m(8, 3), abs=0.02
    )
    assert house.runs[0].path_m.tolist() == [[0, 3], [8, 3]]
    assert house_file.read_text(encoding="utf-8").startswith("# A house around a photograph")
    with pytest.raises(EvenfallError, match=r"house\.yaml is already there"):
        made(tmp_path, photo, POINTS)


def test_from_lengths_in_feet(tmp_path, photo, capsys) -> None:
    def line(a, b, length=""):
        (au, av), (bu, bv) = to_pixel(PLANE, np.array([a, b], dtype=float))
        return f"{au:.3f},{av:.3f} {bu:.3f},{bv:.3f}" + (length and f" = {length}")

    lengths = [line((1, 0), (7, 0), "6 m"), line((7, 2.5), (1, 2.5))]
    lengths += [line((1, 2.4384), (1, 0), "8 ft"), line((7, 0), (7, 2.5))]
    house_file, *_ = made(tmp_path, photo, lengths=lengths, units="ft")
    told = capsys.readouterr().err
    assert "8 ft comes out as 8 ft, 0.0 in off" in told
    assert not re.search(r"\d (m|cm)\b", told), told
    house = load_house(house_file)
    assert house.units == "ft"
    assert house.drawing.photo is not None
    # the origin is the lower end of the first upright length: (1, 0) of the wall
    assert to_wall(plane_of(house.drawing.photo), WALL_PX) == pytest.approx(
        rectangle_m(8, 3) - [1, 0], abs=0.003
    )


def test_eaves_tell_the_lens(tmp_path, photo, capsys) -> None:
    bent = fit_plane(WALL_PX, rectangle_m(8, 3), SIZE, (-0.06, 0.0))
    eaves = [
        " ".join(f"{u:.2f},{v:.2f}" for u, v in to_pixel(bent, [[x, y] for x in range(9)]))
        for y in (0.0, 3.0)
    ]
    house_file, *_ = made(tmp_path, photo, POINTS, eaves)
    photo_of = load_house(house_file).drawing.photo
    assert photo_of is not None
    assert photo_of.lens[0] == pytest.approx(-0.06, abs=0.001)
    assert "lens: k1 -0.06" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("how", "told"),
    [
        ({}, "nothing says how large the wall is; give four corners of something"),
        ({"points": POINTS[:3]}, "--point: 3 known points are too few"),
        ({"points": [*POINTS[:3], "x"]}, "--point 4: 'x' is no pixel = place; write it like"),
        (
            {"points": [*POINTS[:3], "1,1 = 0,3 furlongs"]},
            "--point 4: '3 furlongs' is not a length",
        ),
        ({"points": [*POINTS[:3], "1,9000 = 0,3"]}, "--point 4: pixel 1,9000 lies outside"),
        ({"points": POINTS, "lengths": ["1,1 2,2"]}, "give one of them"),
        ({"points": POINTS, "eaves": ["1,1 2,2"]}, "--eaves 1: '1,1 2,2' is no line of pixels"),
        ({"points": POINTS, "viewer": "-3 m"}, "--viewer: '-3 m' is not in front of the wall"),
        ({"points": POINTS, "viewer": "900 m"}, "was not taken from 900 m away"),
        ({"points": POINTS, "units": "yd"}, "--units: 'yd' is no unit of length"),
        ({"lengths": ["1,1 900,1 = 3 m"]}, "--length: 1 level line is too few"),
        ({"lengths": ["1,1 hello = 3 m"]}, "--length 1: '1,1 hello = 3 m' is no line between two"),
        ({"points": [POINTS[1], POINTS[0], *POINTS[2:]]}, ""),
    ],
)
def test_what_is_wrong_is_told_before_anything_is_written(tmp_path, photo, how, told) -> None:
    if not told:  # the order of the points is free
        assert made(tmp_path, photo, **how)
        return
    with pytest.raises(EvenfallError) as caught:
        made(tmp_path, photo, **how)
    assert told in str(caught.value)
    assert not (tmp_path / "made").exists()


def test_never_over_a_photo_that_is_there(tmp_path, photo) -> None:
    (tmp_path / "made").mkdir()
    (tmp_path / "made" / photo.name).write_bytes(b"another")
    with pytest.raises(EvenfallError, match=r"my house\.jpg is already there"):
        made(tmp_path, photo, POINTS)
    assert (tmp_path / "made" / photo.name).read_bytes() == b"another"
    assert not (tmp_path / "made" / "house.yaml").exists()


def test_a_photo_that_lies_there_already_stays(tmp_path, photo) -> None:
    mine = tmp_path / "evening.scheme.yaml"
    mine.write_text("mine")
    assert from_photo(tmp_path, photo, POINTS, [], [], None, None, None) == [
        tmp_path / "house.yaml"
    ]
    assert mine.read_text() == "mine"
    assert load_house(tmp_path / "house.yaml").drawing.photo is not None


def test_what_is_no_photo(tmp_path) -> None:
    (tmp_path / "notes.jpg").write_bytes(b"no picture")
    for name, told in (("none.jpg", "there is no such photo"), ("notes.jpg", "is no picture")):
        with pytest.raises(EvenfallError, match=told):
            made(tmp_path, tmp_path / name, POINTS)


def test_of_a_moving_picture_the_first_and_told(tmp_path, capsys) -> None:
    frames = [Image.new("RGB", SIZE, colour) for colour in ((250, 0, 0), (0, 0, 250))]
    frames[0].save(tmp_path / "moving.webp", save_all=True, append_images=frames[1:])
    made(tmp_path, tmp_path / "moving.webp", POINTS)
    assert "of its 2 pictures the first is taken" in capsys.readouterr().err


def test_a_photo_cut_short_is_refused_before_anything_is_written(tmp_path, photo) -> None:
    noise = np.random.default_rng(4).integers(0, 255, (*SIZE[::-1], 3), dtype=np.uint8)
    Image.fromarray(noise).save(photo)
    photo.write_bytes(photo.read_bytes()[: photo.stat().st_size // 2])
    with pytest.raises(EvenfallError, match="truncated"):
        made(tmp_path, photo, POINTS)
    assert not (tmp_path / "made").exists()


def test_by_the_flags_of_the_command(tmp_path, photo) -> None:
    flags = [part for point in POINTS for part in ("--point", point)]
    call = ["new", str(tmp_path / "mine"), "--photo", str(photo), "--viewer", "4.4m", *flags]
    first = CliRunner().invoke(app, call)
    assert first.exit_code == 0, first.output
    assert load_house(tmp_path / "mine" / "house.yaml").drawing.viewer_m == 4.4
    again = CliRunner().invoke(app, call)
    assert again.exit_code == 2
    assert "already there" in again.output
    few = CliRunner().invoke(app, [*call[:6], *flags[:6]])
    assert few.exit_code == 2
