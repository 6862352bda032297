"""The patch: slots in the order of the data line, spares and gaps right, codes there and back."""

import csv
import json

import numpy as np
import pytest
from typer.testing import CliRunner

from layouts import house_from
from layouts.addresses import addresses
from layouts.records import CHANNELS
from sim.cli.main import app
from sim.data.patch import codes_from, levels_from, patch_of, refreshes
from sim.report.csv_cells import csv_line

DATA = {
    "format": "evenfall-house/1",
    "name": "Patched",
    "drawing": {"size": [30, 6], "viewer": 12, "surfaces": []},
    "runs": [
        {"name": "a", "pixels": "ws2812b", "path": [[0, 3], [9, 3]], "count": 171,
         "aim": "down", "standoff": 0.1, "spare_first": 1},
        {"name": "b", "pixels": "sk6812-rgbw-warm", "path": [[10, 3], [19, 3]], "count": 129,
         "aim": "down", "standoff": 0.1},
        {"name": "lost", "pixels": "ws2812b", "path": [[20, 3], [21, 3]], "count": 3,
         "aim": "down", "standoff": 0.1},
    ],
    "outputs": [
        {"name": "A", "chain": ["a"], "universe": 1, "fps": 40},
        {"name": "B", "chain": ["b"], "universe": 5},
    ],
}  # fmt: skip


@pytest.fixture(scope="module")
def house():
    return house_from(DATA)


def test_171_pixels_do_not_straddle(house):
    patch = patch_of(house)
    # 170 pixels of three channels fill a universe, the 171st begins the next: u1 510, u2 3 slots;
    # 128 of four fill one whole: arithmetic of 512 slots
    assert patch.universes == (1, 2, 5, 6)
    assert patch.counts == (510, 3, 512, 4)
    assert patch.universe[[0, 169, 170, 171, 298, 299]].tolist() == [1, 1, 2, 5, 5, 6]
    assert patch.slot[[0, 169, 170, 171, 298, 299]].tolist() == [1, 508, 1, 1, 509, 1]
    assert patch.unaddressed == 3


def test_it_is_the_file_s_own_addressing(house):
    patch, found = patch_of(house), addresses(house)
    for name in ("output", "place", "universe"):
        assert np.array_equal(getattr(patch, name), getattr(found, name))
    assert np.array_equal(patch.slot, found.address)


def test_the_order_of_the_data_line(house):
    codes = np.zeros((1, len(house.pixels), 4), dtype=np.uint8)
    codes[0, :, :] = [10, 20, 30, 40]  # r, g, b, w
    levels = levels_from(patch_of(house), codes)
    # GRB and GRBW: WS2812B and SK6812RGBW data sheets, composition of the data
    assert levels[0, 0, :3].tolist() == [20, 10, 30]
    assert levels[0, 2, :4].tolist() == [20, 10, 30, 40]
    assert levels[0, 0, 510:].tolist() == [0, 0]


def test_there_and_back(house):
    patch = patch_of(house)
    rng = np.random.default_rng(1)
    codes = rng.integers(256, size=(5, len(house.pixels), 4), dtype=np.uint8)
    codes[:, :171, CHANNELS.index("w")] = 0  # three channels
    codes[:, 300:] = 0  # on no output
    assert np.array_equal(codes_from(patch, levels_from(patch, codes)), codes)


def test_a_house_without_outputs():
    patch = patch_of(house_from({key: DATA[key] for key in DATA if key != "outputs"}))
    assert patch.universes == ()
    assert levels_from(patch, np.zeros((2, 303, 4), np.uint8)).shape == (2, 0, 512)
    assert codes_from(patch, np.zeros((2, 0, 512), np.uint8)).shape == (2, 303, 4)


def test_refresh_from_bits_clock_and_reset(house):
    first, second = refreshes(house)
    # 171 · 24 · 1.25 µs + 280 µs, 129 · 32 · 1.25 µs + 80 µs (reset of the kinds' sheets)
    resets = [house.run(name).kind.reset_us for name in "ab"]
    assert first.frame_ms == pytest.approx((171 * 24 * 1.25 + resets[0]) / 1000)
    assert second.frame_ms == pytest.approx((129 * 32 * 1.25 + resets[1]) / 1000)
    assert (first.asked_hz, second.asked_hz) == (40, None)
    assert first.most_hz == pytest.approx(1000 / first.frame_ms)


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "house.yaml"
    path.write_text(json.dumps(DATA), encoding="utf-8")
    return path


def test_the_verb_tells_every_pixel(file, tmp_path):
    out = tmp_path / "patch.csv"
    result = CliRunner().invoke(app, ["patch", str(file), "--json", "--csv", str(out)])
    assert result.exit_code == 0, result.stderr
    told = json.loads(result.stdout)
    assert len(told["pixels"]) == 303
    spare, *_ = told["pixels"]
    assert spare == {
        "run": "a", "position": 0, "output": "A", "universe": 1, "slot": 1,
        "x_m": pytest.approx(9 / 171 / 2), "y_m": 3.0, "spare": True, "order": "grb",
        "missing": False,
    }  # fmt: skip
    lost = told["pixels"][-1]
    assert (lost["output"], lost["universe"], lost["slot"]) == (None, None, None)
    assert told["straddling"] is False
    assert "run-without-output" in {each["code"] for each in told["findings"]}
    with out.open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert rows[170]["universe"] == "2"
    assert rows[-1]["universe"] == ""


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@a"])
def test_no_cell_is_a_formula_or_holds_control_characters(text):
    assert csv_line([text, "a\x1b[2J", "\t=1", 0.1 + 0.2]) == f"'{text},a [2J,' =1,0.3\n"


def test_the_screen(file):
    result = CliRunner().invoke(app, ["patch", str(file)])
    assert result.exit_code == 0, result.stderr
    for said in ("straddle", "0–169", "170–170", "Mains work", "40 Hz"):
        assert said in result.stdout
