"""`evenfall render`: files, figures, refusals."""

from __future__ import annotations

import io
import json
import re
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image
from typer.testing import CliRunner

from sim.cli.main import app

ROOT = Path(__file__).parents[2]
COTTAGE = str(ROOT / "demo/cottage/house.yaml")
CHRISTMAS = str(ROOT / "demo/cottage/christmas.scheme.yaml")
SMALL = ("--size", "160x90")


def run(*words: str):
    return CliRunner().invoke(app, ["render", *words])


def test_png(tmp_path):
    out = tmp_path / "a.png"
    assert run(COTTAGE, CHRISTMAS, "--at", "3s", "--out", str(out), *SMALL).exit_code == 0
    with Image.open(out) as picture:
        assert picture.size == (160, 90)
        assert np.asarray(picture).std() > 5
    again = tmp_path / "b.png"
    run(COTTAGE, CHRISTMAS, "--at", "3s", "--out", str(again), *SMALL)
    assert out.read_bytes() == again.read_bytes()


@pytest.mark.parametrize(("suffix", "frames"), [("gif", 20), ("webp", 25)])
def test_animation(tmp_path, suffix, frames):
    out = tmp_path / f"a.{suffix}"
    got = run(COTTAGE, CHRISTMAS, "--seconds", "1", "--out", str(out), *SMALL)
    assert got.exit_code == 0, got.output
    with Image.open(out) as film:
        # a frame that looks as the one before may be told as a longer one
        assert frames * 0.5 <= film.n_frames <= frames
        film.seek(film.n_frames - 1)


def test_film(tmp_path):
    av = pytest.importorskip("av", reason="the extra 'video' is not installed")
    out = tmp_path / "a.mp4"
    assert run(COTTAGE, CHRISTMAS, "--seconds", "0.5", "--out", str(out), *SMALL).exit_code == 0
    with av.open(io.BytesIO(out.read_bytes())) as film:
        stream = film.streams.video[0]
        assert (stream.width, stream.height) == (160, 90)
        assert sum(1 for _ in film.decode(stream)) == 15


def test_film_without_pyav_says_what_to_install(tmp_path, monkeypatch):
    monkeypatch.setitem(sys.modules, "av", None)
    got = run(COTTAGE, CHRISTMAS, "--seconds", "1", "--out", str(tmp_path / "a.mp4"))
    assert got.exit_code == 2
    command = ".venv/bin/pip install '.[video]'"
    assert command in got.stderr
    assert command in (ROOT / "README.md").read_text(encoding="utf-8")


def test_sheet_shows_every_scheme(tmp_path):
    out = tmp_path / "sheet.png"
    assert run(COTTAGE, "--sheet", "--out", str(out), *SMALL).exit_code == 0
    with Image.open(out) as page:
        assert page.width > 160
        assert page.height > 90


def test_figures_as_json():
    got = run(COTTAGE, CHRISTMAS, "--at", "3s", "--probe", "10.4,4.6", "--json", *SMALL)
    assert got.exit_code == 0, got.output
    facts = json.loads(got.stdout)
    assert facts["probe"]["surface"] == "gable-wall"
    assert facts["probe"]["illuminance_lx"] > 1
    assert facts["obtrusive"]["viewer_m"] == 14
    assert {zone["zone"] for zone in facts["obtrusive"]["zones"]} == {"E0", "E1", "E2", "E3", "E4"}


def test_figures_as_words():
    got = run(COTTAGE, CHRISTMAS, "--at", "3s", "--probe", "10.4,4.6", *SMALL)
    assert got.exit_code == 0
    assert "lx from the pixels" in got.stdout
    assert "E2" in got.stdout


def test_a_place_may_carry_its_units():
    metres, feet = (
        json.loads(run(COTTAGE, CHRISTMAS, "--probe", place, "--json", *SMALL).stdout)["probe"]
        for place in ("1.524,0.9144", "5 ft,3 ft")
    )
    assert feet == metres


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ((CHRISTMAS,), "nothing to do"),
        ((CHRISTMAS, "--out", "a.bmp"), "cannot write '.bmp'"),
        ((CHRISTMAS, "--out", "a.png", "--seconds", "3"), "--seconds is for films"),
        ((CHRISTMAS, "--out", "a.gif", "--seconds", "9999"), "at most 600"),
        ((CHRISTMAS, "--probe", "here"), "write it as X,Y"),
        ((CHRISTMAS, "--probe", "nan,1"), "write it as X,Y"),
        ((CHRISTMAS, "--probe", "99,99"), "outside the picture"),
        ((CHRISTMAS, "--json", "--hour", "noon"), "choose dusk, evening, late"),
        ((CHRISTMAS, "--json", "--size", "12"), "is no size"),
        ((CHRISTMAS, "--json", "--size", "100000x90"), "each side must be 16 to 8192 pixels"),
        (
            (CHRISTMAS, "--json", "--brightness", "50"),
            "'50' is out of range; write 0 to 1, or 0% to 100%",
        ),
        (("--out", "a.png"), "name a scheme"),
        (("--sheet",), "--sheet needs --out"),
        ((CHRISTMAS, "--sheet", "--out", "a.png"), "leave the scheme"),
        (("nowhere.yaml", "--json"), "nowhere.yaml"),
        ((CHRISTMAS, "--out", "no/such/folder/a.png"), "no/such/folder/a.png"),
    ],
)
def test_refusals(words, said):
    got = run(COTTAGE, *words, *(() if "--size" in words else SMALL))
    assert got.exit_code == 2
    assert said in got.stderr
    assert "Traceback" not in got.stderr


@pytest.mark.parametrize(
    ("surface", "said"),
    [
        ("{name: a, material: slate, depth: 0, outline: [[0, 0], [1, 1]]}", ":"),
        (
            "{name: a, material: slat, depth: 0, outline: [[0, 0], [1, 0], [1, 1]]}",
            "did you mean 'slate'?",
        ),
        (
            "{name: a, material: slate, depth: 0, outline: [[0, 0], [2, 2], [2, 0], [0, 2]]}",
            "cross",
        ),
    ],
)
def test_wrong_drawing_says_where(tmp_path, surface, said):
    house = tmp_path / "house.yaml"
    house.write_text(
        "format: evenfall-house/1\nname: h\nunits: m\n"
        f"drawing:\n  size: [8, 5]\n  viewer: 10\n  surfaces:\n    - {surface}\n"
        "runs:\n  - {name: r, pixels: ws2812b, path: [[0, 1], [1, 1]]}\n"
    )
    got = run(str(house), CHRISTMAS, "--json", *SMALL)
    assert got.exit_code == 2
    assert re.search(r"house\.yaml:8:\d+: ", got.stderr)
    assert said in got.stderr


def test_missing_photo_says_where(tmp_path):
    house = tmp_path / "house.yaml"
    house.write_text(
        "format: evenfall-house/1\nname: h\nunits: m\n"
        "drawing:\n  size: [8, 5]\n  viewer: 10\n  surfaces: []\n"
        "  photo: {file: none.jpg, corners: [[0, 0], [8, 0], [8, 5], [0, 5]]}\n"
        "runs:\n  - {name: r, pixels: ws2812b, path: [[0, 1], [1, 1]]}\n"
    )
    got = run(str(house), CHRISTMAS, "--json", *SMALL)
    assert got.exit_code == 2
    assert re.search(r"house\.yaml:8:\d+: there is no photo 'none\.jpg'", got.stderr)


def test_several_probes_are_told_in_order(tmp_path):
    words = (COTTAGE, CHRISTMAS, "--probe", "10.4,4.6", "--probe", "3 m,2 m", *SMALL)
    facts = json.loads(run(*words, "--json").stdout)
    assert [(probe["x_m"], probe["y_m"]) for probe in facts["probes"]] == [(10.4, 4.6), (3, 2)]
    assert facts["probe"] == facts["probes"][0]
    lines = run(*words).stdout.splitlines()
    assert [line.partition(":")[0] for line in lines if " m, " in line][:2] == [
        "10.4 m, 4.6 m",
        "3 m, 2 m",
    ]


def test_an_imperial_house_reads_imperial(tmp_path):
    house, scheme = tmp_path / "house.yaml", tmp_path / "a.scheme.yaml"
    house.write_text(
        "format: evenfall-house/1\nname: I\nunits: ft\n"
        "drawing: {size: [20, 12], viewer: 30, surfaces:"
        " [{name: wall, material: brick-red, outline: [[1, 0], [19, 0], [19, 9], [1, 9]]}]}\n"
        "runs: [{name: r, pixels: ws2813, path: [[2, 8], [12, 8]], aim: wall, standoff: 1}]\n"
        "supplies: [{name: box, volts: 5, amps: 30}]\n"
        "wires: [{from: box, to: r.start, wire: 12 AWG, length: 8 ft 6 1/2 in, fuse: 10}]\n"
    )
    scheme.write_text(
        "format: evenfall-scheme/1\nname: S\nlayers: [{effect: steady, palette: ['3000 K']}]\n"
    )
    # a bare number is in the house's units: 10 ft is 3.048 m
    told = run(str(house), str(scheme), "--probe", "10,7.5", *SMALL).stdout
    assert told.startswith("10 ft, 7 ft 6 in: wall (brick-red)")
    assert "on a window 30 ft opposite" in " ".join(told.split())
    facts = json.loads(run(str(house), str(scheme), "--probe", "10,7.5", "--json", *SMALL).stdout)
    assert facts["probe"]["x_m"] == pytest.approx(3.048)
    wide = {"COLUMNS": "140", "TERMINAL_WIDTH": "140"}
    power = CliRunner().invoke(app, ["power", str(house), str(scheme)], env=wide).stdout
    assert "12 AWG, 8 ft 6 1/2 in" in power
    # left of the picture: a negative coordinate is understood
    beside = run(str(house), str(scheme), "--probe", "-99,2", *SMALL)
    assert "outside the picture" in beside.stderr
