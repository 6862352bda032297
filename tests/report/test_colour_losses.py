"""What becomes of the colours asked, as figures and findings."""

from __future__ import annotations

import numpy as np
import pytest

import layouts
from effects import bind, load_scheme
from sim.colour import mixer
from sim.report.colour_losses import LOOKS, colour_losses, looks, shade_findings

HOUSE = """\
format: evenfall-house/1
name: test house
drawing: {size: [10, 5], viewer: 10, surfaces: []}
runs:
  - {name: left, pixels: ws2812b, path: [[0, 3], [4, 3]], count: 30}
  - {name: right, pixels: ws2812b, path: [[5, 3], [9, 3]], count: 10}
"""
SCHEME = """\
format: evenfall-scheme/1
name: test scheme
brightness: {level}
dither: {dither}
layers:
  - {{zones: left, effect: fade, palette: ["{left}", "{left}"]}}
  - {{zones: right, effect: steady, palette: ["{right}"]}}
"""


@pytest.fixture
def scheme(tmp_path):
    """scheme(left, right, level=, dither=) -> (house, scheme)."""
    (tmp_path / "house.yaml").write_text(HOUSE)
    house = layouts.load_house(tmp_path / "house.yaml")

    def load(left: str, right: str, level: float = 1.0, dither: str = "off"):
        path = tmp_path / "test.scheme.yaml"
        text = SCHEME.format(left=left, right=right, level=level, dither=dither)
        path.write_text(text)
        return house, load_scheme(path, house)

    return load


def _shades(house, scheme):
    show = bind(house, scheme)
    return colour_losses(mixer(house), show, looks(show, 10.0))


def test_frames_are_spread_over_the_scheme(scheme):
    show = bind(*scheme("#ffffff", "#ffffff"))
    times_s = looks(show, 60.0)
    assert len(times_s) == LOOKS
    assert times_s[0] == 0.0
    assert times_s[-1] == pytest.approx(60.0 - 1 / show.fps)
    assert len(looks(show, 0.1)) == 4
    np.testing.assert_allclose(times_s * show.fps, np.rint(times_s * show.fps))


def test_a_colour_outside_the_primaries_is_counted(scheme):
    # OKLCH (0.7 0.4 145): a green beyond any die; 10 of 40 pixels ask for it.
    seen = _shades(*scheme("#808080", "oklch(0.7 0.4 145)", 0.3))
    assert seen.reduced == pytest.approx(0.25)
    assert seen.held == 0.0


def test_a_colour_beyond_full_duty_is_counted(scheme):
    # Full 2000 K needs more red than the red of full D65 white; 30 of 40 pixels ask for it.
    seen = _shades(*scheme("2000 K", "#404040"))
    assert seen.held == pytest.approx(0.75)
    assert seen.reduced == 0.0


def test_dim_pixels_are_counted(scheme):
    # Linear 0.0273 of #2c2c2c: 7 of 255 at the strongest channel; #808080: 55.
    seen = _shades(*scheme("#2c2c2c", "#808080"))
    assert seen.stepping == pytest.approx(0.75)


def test_dark_pixels_are_not_among_the_dim(scheme):
    # 30 pixels are black; the 10 that are lit are all below code 15.
    seen = _shades(*scheme("#000000", "#2c2c2c"))
    assert seen.stepping == pytest.approx(1.0)


def test_findings_say_share_and_cure(scheme):
    found = {each.code: each for each in shade_findings(*scheme("#2c2c2c", "oklch(0.7 0.4 145)"))}
    # The grey's codes are 5, 6, 2 for 4.9, 6.4, 2.0: no longer that grey.
    assert set(found) == {"fade-steps", "colour-reduced", "colour-coarse"}
    assert found["colour-reduced"].text.startswith("25% of the lit pixels are asked for a colour")
    assert found["fade-steps"].text == (
        "75% of the lit pixels are so dim (below code 15 of 255) that a fade is seen to step. "
        "Raise the brightness, or try dither: on"
    )
    assert {each.level for each in found.values()} <= {"note", "warning"}
    assert [code for code, each in found.items() if each.level == "warning"] == ["colour-coarse"]
    held = shade_findings(*scheme("2000 K", "#808080"))
    assert [each.code for each in held] == ["colour-held"]
    assert "75% of the lit pixels" in held[0].text


def test_dithering_is_not_praised_where_it_flickers(scheme):
    (found,) = shade_findings(*scheme("#2c2c2c", "#808080", dither="on"))
    assert "alternate, 20 times a second at most" in found.text
    assert "flickers" in found.text


def test_an_ordinary_scheme_has_no_such_finding(scheme):
    assert shade_findings(*scheme("#808080", "#ffb060", 0.8)) == ()
