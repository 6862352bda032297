"""A brightness too low for 8 bits: told by `compare` and found by `check`, of still schemes too."""

from __future__ import annotations

import warnings

import numpy as np
import pytest

import layouts
from effects import bind, load_scheme
from sim.colour import codes, emission_xyz_lm, mixer
from sim.report.coarse_codes import MOST_STEPS, STEP_UV, coarseness
from sim.report.colour_losses import looks, shade_findings
from sim.report.white import asked_white, white_quality

HOUSE = """\
format: evenfall-house/1
name: test house
drawing: {{size: [10, 5], viewer: 10, surfaces: []}}
runs:
  - {{name: eave, pixels: {kind}, path: [[0, 3], [4, 3]], count: 50}}
"""
SCHEME = """\
format: evenfall-scheme/1
name: still white
brightness: {level}
colour: {colour}
dither: {dither}
layers:
  - {{zones: all, effect: steady, palette: ["{white}"]}}
"""


@pytest.fixture
def shown(tmp_path):
    """shown(kind, level, dither=, white=, colour=) -> (house, scheme)."""

    def load(kind, level, dither="off", white="3000 K", colour="matched"):
        (tmp_path / "house.yaml").write_text(HOUSE.format(kind=kind))
        house = layouts.load_house(tmp_path / "house.yaml")
        text = SCHEME.format(level=level, dither=dither, white=white, colour=colour)
        (tmp_path / "a.scheme.yaml").write_text(text)
        return house, load_scheme(tmp_path / "a.scheme.yaml", house)

    return load


def _quality(house, scheme):
    show = bind(house, scheme)
    white = asked_white(show, looks(show), scheme.brightness)
    return white_quality(house.runs[0].kind, mixer(house), white, house, scheme.dither)


def _ohno(xyz):
    """CCT [K] and Duv by colour-science 0.4, method of Ohno (2013)."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

        uv = colour.UCS_to_uv(colour.XYZ_to_UCS(np.asarray(xyz)))
        return colour.uv_to_CCT(uv, method="Ohno 2013")


# Codes: duties of 3000 K from WS2812B-V5's flux, 1 : 0.838 : 0.0935 with green full at white (see
# test_mixing), times 255 and the level, to the nearest. CCT: colour-science 0.4.7, Ohno 2013.
@pytest.mark.outside
@pytest.mark.parametrize(
    ("level", "sent", "cct_k", "off"),
    [
        (0.02, (5, 5, 1, 0), 3984, True),
        (0.05, (13, 11, 1, 0), 2967, False),
        (0.35, (94, 79, 9, 0), 3017, False),
    ],
)
def test_white_is_told_as_the_codes_give_it(shown, level, sent, cct_k, off):
    house, scheme = shown("ws2812b-v5", level)
    found = _quality(house, scheme)
    assert found.codes == sent
    xyz = np.array(sent) / 255 @ emission_xyz_lm(house.runs[0].kind)
    ohno_cct_k, ohno_duv = _ohno(xyz)
    assert ohno_cct_k == pytest.approx(cct_k, abs=1)
    assert found.rendition.cct_k == pytest.approx(ohno_cct_k, abs=1)
    assert found.rendition.duv == pytest.approx(ohno_duv, abs=1e-5)
    assert found.rendition.lumens == pytest.approx(xyz[1], rel=1e-6)
    told = [each for each in shade_findings(house, scheme) if each.code == "colour-coarse"]
    assert bool(told) is off


@pytest.mark.outside
def test_the_distance_is_that_of_another_library(shown):
    """CAM02-UCS of the light shown, to an eye adapted to the light before rounding."""
    house, scheme = shown("ws2812b-v5", 0.02)
    found = _quality(house, scheme)
    light = emission_xyz_lm(house.runs[0].kind)
    mixed, sent = np.array(found.duty) @ light, np.array(found.codes) @ light
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

        # colour-science 0.4.7: dim surround, adapting luminance 100 cd/m², background 20.
        both = [
            colour.XYZ_to_CIECAM02(
                100 * xyz / xyz[1],
                100 * mixed / mixed[1],
                100.0,
                20.0,
                colour.VIEWING_CONDITIONS_CIECAM02["Dim"],
            )
            for xyz in (mixed, sent)
        ]
        one, other = (
            colour.JMh_CIECAM02_to_CAM02UCS(np.array([each.J, each.M, each.h])) for each in both
        )
    assert found.delta_e == pytest.approx(np.linalg.norm(one - other), rel=1e-6)
    assert found.delta_e > 20


@pytest.mark.outside
def test_steps_are_those_of_the_chromaticity_difference(shown):
    house, scheme = shown("ws2812b-v5", 0.02)
    (told,) = (each for each in shade_findings(house, scheme) if each.code == "colour-coarse")
    light = emission_xyz_lm(house.runs[0].kind)
    quality = _quality(house, scheme)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

        u_v = [
            colour.xy_to_Luv_uv(colour.XYZ_to_xy(np.array(drive) @ light))
            for drive in (quality.duty, quality.codes)
        ]
    # CIE TN 001:2014: one step is a circle of 0.0011 in u'v'.
    assert STEP_UV == 0.0011
    assert told.value == pytest.approx(np.linalg.norm(u_v[0] - u_v[1]) / 0.0011, rel=1e-3)
    assert (told.level, told.limit, told.unit) == ("warning", MOST_STEPS, "steps")


def test_a_still_scheme_is_told_what_would_mend_it(shown):
    house, scheme = shown("ws2812b-v5", 0.02)
    (told,) = (each for each in shade_findings(house, scheme) if each.code == "colour-coarse")
    actions = [each.action for each in told.remedies]
    assert actions == ["dither", "raise-brightness", "fewer-pixels", "white-channel"]
    assert told.text.startswith(
        "at brightness 2% 8-bit codes are too coarse: 100% of the light is off its colour by 30 "
        "steps on average (7 are usual for lamps); white of 3000 K comes out as 3980 K. Try "
        "brightness "
    )
    for words in ("and one pixel in ", "dither: on", "a kind with a white channel"):
        assert words in told.text
    assert "16-bit" not in told.text  # there is no such kind, and codes have 8 bits
    # What is advised helps.
    level = told.remedies[1].value
    assert told.remedies[2].value == pytest.approx(0.02 / level)
    better = shown("ws2812b-v5", round(level, 4))
    assert "colour-coarse" not in {each.code for each in shade_findings(*better)}
    for mended in (
        shown("ws2812b-v5", 0.02, dither="on"),
        shown("sk6812-rgbw-warm", 0.02),
        shown("ws2812b-v5", 0.35),
    ):
        assert "colour-coarse" not in {each.code for each in shade_findings(*mended)}


def test_a_white_too_dim_for_any_code(shown):
    house, scheme = shown("ws2812b-v5", 0.001)
    found = _quality(house, scheme)
    assert found.codes == (0, 0, 0, 0)
    assert found.rendition.cct_k == pytest.approx(3000, abs=5)  # of the duty
    (told,) = (each for each in shade_findings(house, scheme) if each.code == "colour-coarse")
    assert "100% of the light rounds to nothing" in told.text
    assert np.isfinite(told.value)


def test_raw_codes_round_as_well(shown):
    # 255, 147, 41 through gamma 2.2 at 2 %: 5.10, 1.52, 0.09 of 255 → 5, 2, 0.
    house, scheme = shown("ws2812b-v5", 0.02, white="#ff9329", colour="raw")
    made = mixer(house, colour="raw")
    asked = np.full((1, 50, 3), [255, 147, 41]) / 255
    assert codes(made, asked, 0.02)[0, 0].tolist() == [5, 2, 0, 0]
    assert {each.code for each in shade_findings(house, scheme)} >= {"colour-coarse"}


def test_light_is_what_counts(shown):
    """Half the pixels so dim that they vanish give next to none of the light."""
    house, _ = shown("ws2812b-v5", 1.0)
    made = mixer(house)
    wanted = np.full((1, 50, 3), 0.5)
    wanted[:, ::2] = 1e-3
    found = coarseness(made, wanted, 1.0)
    # Light of 25 pixels at 0.001 beside 25 at 0.5.
    assert found.share == pytest.approx(0.001 / 0.501, rel=1e-3)
    assert coarseness(made, 0 * wanted, 1.0).share == 0.0


def test_a_scheme_turned_off_is_not_coarse(shown):
    assert shade_findings(*shown("ws2812b-v5", 0.0)) == ()
