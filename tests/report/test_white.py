"""Which white a scheme shows."""

from __future__ import annotations

import numpy as np
import pytest

import layouts
from effects import bind, load_scheme
from sim.report.white import asked_white

HOUSE = """\
format: evenfall-house/1
name: test house
drawing: {size: [10, 5], viewer: 10, surfaces: []}
runs:
  - {name: left, pixels: sk6812-rgbw-warm, path: [[0, 3], [4, 3]], count: 50}
  - {name: right, pixels: sk6812-rgbw-warm, path: [[5, 3], [9, 3]], count: 50}
"""
SCHEME = """\
format: evenfall-scheme/1
name: test scheme
colour: {colour}
brightness: 0.4
layers:
  - {{zones: left, effect: steady, palette: ["{left}"]}}
  - {{zones: right, effect: steady, palette: ["{right}"]}}
"""


@pytest.fixture
def asked(tmp_path):
    """asked(left, right, colour=, level=) -> the white of a scheme of two steady halves."""
    (tmp_path / "house.yaml").write_text(HOUSE)
    house = layouts.load_house(tmp_path / "house.yaml")

    def find(left: str, right: str, colour: str = "matched", level: float = 0.4):
        path = tmp_path / "test.scheme.yaml"
        path.write_text(SCHEME.format(left=left, right=right, colour=colour))
        show = bind(house, load_scheme(path, house))
        return asked_white(show, np.array([0.0]), level)

    return find


@pytest.mark.parametrize("cct_k", [2400, 3000, 4000, 6500])
def test_a_steady_white_is_itself(cct_k, asked):
    found = asked(f"{cct_k} K", f"{cct_k} K")
    assert found.share == pytest.approx(1.0)
    assert found.cct_k == pytest.approx(cct_k, rel=5e-3)


def test_colours_beside_a_white_do_not_tint_it(asked):
    alone = asked("3000 K", "#000000")
    for colour in ("#ff0000", "#00ff00", "#0000ff", "#ff00ff", "#ff8000"):
        found = asked("3000 K", colour)
        assert 0.3 < found.share < 1.0
        np.testing.assert_allclose(found.rgb, alone.rgb, rtol=1e-6)


def test_two_whites_are_averaged_by_their_light(asked):
    found = asked("2700 K", "4000 K")
    assert 2700 < found.cct_k < 4000


def test_brightness_sets_the_level(asked):
    # D65 at level 1 is r = g = b = 1 by definition of linear sRGB; brightness 0.4.
    np.testing.assert_allclose(asked("#ffffff", "#ffffff").rgb, 0.4, rtol=1e-3)


@pytest.mark.parametrize("colour", ["#ff0000", "#ff8000", "#ff9329", "#40ff40", "#000000"])
def test_what_is_no_white_is_stood_in_for(colour, asked):
    found = asked(colour, colour)
    assert found.share == 0.0
    assert found.cct_k == 3000.0


def test_raw_codes_are_stood_in_for(asked):
    assert asked("#ffffff", "#ffffff", colour="raw").share == 0.0


def test_a_scheme_turned_off_is_measured_at_full(asked):
    found = asked("3000 K", "3000 K", level=0.0)
    np.testing.assert_allclose(found.rgb, asked("3000 K", "3000 K", level=1.0).rgb)
