"""Rules of mixing: scale, raw codes, holding, reducing, rounding, dithering, refusals."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

import layouts
from layouts import EvenfallError
from sim.colour import codes, duty, emission_xyz_lm, gamut_report, mixer, spectra

WS2812B = layouts.kinds()["ws2812b"]
WARM = layouts.kinds()["sk6812-rgbw-warm"]
ONE_WHITE = np.ones((1, 1, 3))


def _black_body(cct_k: float) -> np.ndarray:
    xyz = spectra.xyz(spectra.planck(cct_k))
    return xyz / xyz[1]


def test_ws2812b_duties_for_3000_k_and_6500_k(house_of, as_asked):
    made = mixer(house_of(WS2812B))
    # WS2812B data sheet mcd with Gaussian dies: computed with colour-science 0.4.7.
    for cct_k, wanted, lumens in [
        (3000.0, [1.0, 0.838, 0.0935], 3.14),
        (6500.0, [0.791, 1.0, 0.329], 3.37),
    ]:
        full = duty(made, as_asked(_black_body(cct_k) * 9.0)[None, None])[0, 0]
        np.testing.assert_allclose(full[:3], wanted, atol=0.01)
        assert full @ emission_xyz_lm(WS2812B)[:, 1] == pytest.approx(lumens, abs=0.01)


@pytest.mark.parametrize("name", list(layouts.kinds()))
@pytest.mark.parametrize("white", ["off", "most", "economy", 0.5])
def test_white_at_level_one_just_reaches_full(name, white, house_of):
    kind = layouts.kinds()[name]
    made = mixer(house_of(kind), white=white)
    full = duty(made, ONE_WHITE)[0, 0]
    assert full.max() == pytest.approx(1.0, abs=1e-6)
    assert gamut_report(made, 0.999 * ONE_WHITE).held == 0.0
    assert gamut_report(made, 1.001 * ONE_WHITE).held == 1.0
    # Its flux is the unit, and its colour is D65 (IEC 61966-2-1: x 0.3127, y 0.3290).
    xyz = full @ emission_xyz_lm(kind)
    assert xyz[1] == pytest.approx(made.unit_lm[0], rel=1e-6)
    np.testing.assert_allclose(xyz[:2] / xyz.sum(), [0.3127, 0.3290], atol=2e-4)


def test_the_white_die_carries_warm_white(house_of, as_asked):
    made = mixer(house_of(WARM))
    for level in (0.05, 0.2, 0.5):
        found = duty(made, as_asked(level * _black_body(3000.0))[None, None])[0, 0]
        lumens = found * emission_xyz_lm(WARM)[:, 1]
        assert lumens[3] > 0.9 * lumens.sum()


@given(st.floats(0.01, 1.0), st.tuples(*[st.floats(0.0, 1.0, width=32)] * 3))
def test_brightness_is_luminance_at_constant_chromaticity(level, colour):
    made, light = MIXED, emission_xyz_lm(WARM)
    asked = 0.3 * np.array([[colour]])
    full = duty(made, asked)[0, 0] @ light
    dimmed = duty(made, asked, level)[0, 0] @ light
    np.testing.assert_allclose(dimmed, level * full, atol=1e-4)


class _One:
    """The least a mixer asks of a house: one run of one kind, one pixel."""

    def __init__(self, kind):
        self.runs = (type("Run", (), {"kind": kind}),)
        self.pixels = type("Pixels", (), {"run": np.zeros(1, int), "spare": np.zeros(1, bool)})


MIXED = mixer(_One(WARM))


def test_raw_codes_go_through_gamma_and_brightness(house_of):
    made = mixer(house_of(WS2812B), colour="raw", gamma=2.2)
    asked = np.array([[[128, 255, 64]]]) / 255.0
    # (128/255)^2.2 = 0.21952, (64/255)^2.2 = 0.04779: by hand
    np.testing.assert_allclose(
        duty(made, asked, 0.5)[0, 0], [0.10976, 0.5, 0.02390, 0.0], atol=2e-5
    )


def test_gamma_table_of_eight_bits(house_of):
    made = mixer(house_of(WS2812B, count=256), colour="raw", gamma=2.2)
    ramp = np.repeat(np.arange(256)[None, :, None] / 255.0, 3, axis=2)
    found = codes(made, ramp)[0, :, 0]
    # Computed with numpy from the definition: of 256 codes 15 are dark, 184 are distinct.
    assert (found == 0).sum() == 15
    assert len(np.unique(found)) == 184
    assert found[128] == 56


@pytest.mark.parametrize("colour", ["raw", "matched"])
def test_common_takes_the_least_of_the_three(colour, house_of):
    asked = np.array([[[0.5, 0.4, 0.3]]])
    plain = duty(mixer(house_of(WARM), colour=colour, white="off"), asked)[0, 0, :3]
    made = mixer(house_of(WARM), colour=colour, white="common")
    found = duty(made, asked)[0, 0]
    off_unit = mixer(house_of(WARM), colour=colour, white="off").unit_lm[0]
    plain = plain * made.unit_lm[0] / off_unit if colour == "matched" else plain
    np.testing.assert_allclose(found[3], plain.min(), atol=1e-6)
    np.testing.assert_allclose(found[:3], plain - plain.min(), atol=1e-6)


def test_a_held_colour_keeps_its_chromaticity(house_of, as_asked):
    made = mixer(house_of(WARM))
    asked = np.random.default_rng(1).random((1, 400, 3)) * 4.0
    held = duty(mixer(house_of(WARM, count=400)), asked)[0] @ emission_xyz_lm(WARM)
    wanted = asked[0] @ np.linalg.inv(as_asked(np.eye(3)))
    np.testing.assert_allclose(
        held / held.sum(1, keepdims=True), wanted / wanted.sum(1, keepdims=True), atol=1e-5
    )
    assert gamut_report(made, np.array([[[4.0, 4.0, 4.0]]])).held == 1.0


# Saturated beyond any die: OKLCH chroma 0.4 around the circle.
@pytest.mark.outside
@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("hue_deg", range(0, 360, 15))
def test_a_foreign_colour_is_reduced_at_constant_hue(hue_deg, house_of):
    import colour

    made = mixer(house_of(WS2812B))
    angle = np.radians(hue_deg)
    lab = np.array([0.6, 0.4 * np.cos(angle), 0.4 * np.sin(angle)])
    # colour-science 0.4.7: OKLab (Ottosson 2020) and the sRGB matrix, both ways.
    asked = colour.XYZ_to_sRGB(colour.Oklab_to_XYZ(lab), apply_cctf_encoding=False)
    report = gamut_report(made, asked[None, None], 0.1)
    light = duty(made, asked[None, None], 0.1)[0, 0] @ emission_xyz_lm(WS2812B)
    found = colour.XYZ_to_Oklab(light / made.unit_lm[0] / 0.1)
    hue = np.degrees(np.arctan2(found[2], found[1]))
    assert (hue - hue_deg + 180.0) % 360.0 - 180.0 == pytest.approx(0.0, abs=0.2)
    if report.held:
        return  # a held colour has lost lightness as well, at its own chromaticity
    assert found[0] == pytest.approx(lab[0], abs=2e-3)
    chroma = np.hypot(*found[1:])
    assert chroma == pytest.approx(0.4, abs=2e-3) if not report.reduced else chroma < 0.4
    if report.reduced:
        assert duty(made, asked[None, None], 0.1)[0, 0, :3].min() == pytest.approx(0.0, abs=1e-5)


def test_shares_of_reduced_and_held(house_of):
    made = mixer(house_of(WS2812B, count=4))
    asked = np.array([[[0, 0, 0], [0.5, 0.5, 0.5], [2, 2, 2], [0.1, 0.3, -0.3]]], float)
    report = gamut_report(made, asked)
    assert report.lit == 3
    assert report.held == pytest.approx(1 / 3)
    assert report.reduced == pytest.approx(1 / 3)


def test_light_that_cannot_be_is_dark(house_of):
    made = mixer(house_of(WS2812B, count=2))
    assert not duty(made, np.array([[[-1.0, -1.0, -1.0], [0.0, 0.0, 0.0]]])).any()


def test_codes_are_duties_to_the_nearest(house_of):
    made = mixer(house_of(WARM, WS2812B, count=50))
    asked = np.random.default_rng(2).random((8, 100, 3))
    wanted = duty(made, asked, 0.6) * 255.0
    found = codes(made, asked, 0.6)
    assert found.dtype == np.uint8
    assert np.abs(found - wanted).max() <= 0.5
    assert not found[:, 50:, 3].any()  # the RGB kind has no w


@pytest.mark.parametrize("colour", ["matched", "raw"])
def test_light_that_stands_still_in_part_is_mixed_as_frame_by_frame(house_of, colour):
    """Between frames each channel of some pixel changes alone, and most pixels not at all."""
    made = mixer(house_of(WARM, WS2812B, count=20), colour=colour)
    rng = np.random.default_rng(4)
    asked = np.repeat(rng.random((1, 40, 3)), 9, axis=0)
    for frame in range(1, 9):
        asked[frame:, rng.integers(40), frame % 3] = rng.random()
    alone = np.concatenate([codes(made, asked[t : t + 1], 0.6) for t in range(9)])
    np.testing.assert_array_equal(codes(made, asked, 0.6), alone)
    assert (np.diff(alone.astype(int), axis=0) != 0).any(axis=(1, 2)).all()


def test_each_kind_has_its_own_mixture(house_of):
    both = mixer(house_of(WARM, WS2812B))
    asked = np.array([[[0.4, 0.3, 0.2]] * 2])
    for index, kind in enumerate((WARM, WS2812B)):
        alone = duty(mixer(house_of(kind)), asked[:, :1])[0, 0]
        np.testing.assert_array_equal(duty(both, asked)[0, index], alone)


def test_spare_pixels_stay_dark(house_of):
    found = codes(mixer(house_of(WARM, count=5, spares=2)), np.ones((3, 5, 3)))
    assert not found[:, :2].any()
    assert found[:, 2:].any(axis=2).all()


def test_dithering_shows_the_duty_on_average(house_of):
    made = mixer(house_of(WS2812B, count=30))
    asked = np.full((256, 30, 3), 0.01)
    found = codes(made, asked, 1.0, frame_index=np.arange(256))
    wanted = duty(made, asked[:1])[0] * 255.0
    np.testing.assert_allclose(found.mean(axis=0), wanted, atol=0.01)
    assert np.abs(found - wanted).max() < 1.0
    # Neighbours do not step together, else a dithered wall would flicker as one.
    assert np.diff(found[0, :, 1].astype(int)).any()


def test_dithering_is_the_same_every_time(house_of):
    made = mixer(house_of(WS2812B, count=30))
    asked = np.full((4, 30, 3), 0.01)
    whole = codes(made, asked, 1.0, frame_index=np.arange(7, 11))
    np.testing.assert_array_equal(whole[2:3], codes(made, asked[:1], 1.0, frame_index=9))


def test_frames_do_not_depend_on_each_other(house_of):
    made = mixer(house_of(WARM, count=20))
    asked = np.random.default_rng(3).random((6, 20, 3)) * 2 - 0.5
    np.testing.assert_array_equal(codes(made, asked)[4:5], codes(made, asked[4:5]))


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({"white": "lots"}, "unknown white use 'lots'; it is off, most, economy, common or a"),
        ({"white": 1.5}, r"a white share of 1.5 is outside 0\.\.1"),
        ({"white": float("nan")}, r"outside 0\.\.1"),
        ({"colour": "cooked"}, "unknown colour handling 'cooked'; it is matched or raw"),
        ({"gamma": 0.0}, r"a gamma of 0 is outside 0\.1\.\.10"),
    ],
)
def test_unknown_words_are_refused(wrong, said, house_of):
    with pytest.raises(EvenfallError, match=said):
        mixer(house_of(WARM), **wrong)


def test_a_kind_without_green_is_refused(house_of, with_dies):
    from dataclasses import replace

    kind = replace(WS2812B, channels=(WS2812B.channels[0], WS2812B.channels[2]), name="magenta")
    with pytest.raises(EvenfallError, match="kind magenta: it has no g; colour needs r, g, b"):
        mixer(house_of(kind))


def test_primaries_that_cannot_make_white_are_refused(house_of, with_dies):
    kind = with_dies(WS2812B, name="odd", b={"dominant_nm": 540.0})
    with pytest.raises(EvenfallError, match=r"kind odd: .* cannot mix the reference white"):
        mixer(house_of(kind))


@pytest.mark.parametrize(
    ("dies", "said"),
    [
        ({"g": {"dominant_nm": 622.5, "fwhm_nm": 20}}, "r and g have the same colour"),
        ({"b": {"dominant_nm": 523.5, "fwhm_nm": 33}}, "g and b have the same colour"),
        ({"g": {"flux_lm": 0.0}}, r"no light of g \(`lm: 0`\)"),
        ({"r": {"flux_lm": 0.0}, "b": {"flux_lm": 0.0}}, "no light of r and b"),
    ],
)
def test_dies_that_span_no_colours_are_refused_in_a_line(dies, said, house_of, with_dies):
    kind = with_dies(WS2812B, name="odd", **dies)
    with pytest.raises(EvenfallError, match=f"^kind odd: {said}") as refusal:
        mixer(house_of(kind))
    assert "\n" not in str(refusal.value)
    # Raw codes need no colours of the dies: they go through as they are.
    made = mixer(house_of(kind), colour="raw")
    assert codes(made, ONE_WHITE)[0, 0].tolist() == [255, 255, 255, 0]


def test_two_kinds_of_one_name_keep_their_own_laws(house_of, with_dies):
    """A house with some runs changed holds two kinds of one name."""
    brighter = with_dies(WARM, name=WARM.name, g={"flux_lm": 2 * WARM.channel("g").flux_lm})
    assert brighter.name == WARM.name
    both = mixer(house_of(WARM, brighter, count=1))
    assert both.kinds == (WARM, brighter)
    asked = np.array([[[0.1, 0.4, 0.2]] * 2])
    for index, kind in enumerate((WARM, brighter)):
        alone = duty(mixer(house_of(kind)), asked[:, :1])[0, 0]
        np.testing.assert_array_equal(duty(both, asked)[0, index], alone)


@pytest.mark.outside
@pytest.mark.filterwarnings("ignore")
@pytest.mark.parametrize("below", [1e-4, 1e-3, 5e-3])
def test_a_colour_just_outside_is_reduced_at_constant_hue(below, house_of, as_asked):
    """Clipping the negative duty would turn the hue; the nearer the edge, the less."""
    import colour

    made = mixer(house_of(WS2812B))
    # So much blue short of nothing, beside red and green of full and half light.
    duties = np.array([1.0, 0.5, -below])
    xyz = duties @ emission_xyz_lm(WS2812B)[:3]
    asked = as_asked(xyz / made.unit_lm[0])[None, None]
    assert gamut_report(made, asked, 0.5).reduced == 1.0
    found = duty(made, asked, 0.5)[0, 0] @ emission_xyz_lm(WS2812B)
    # colour-science 0.4: hue in OKLab of what was asked and of what is shown.
    lab = [colour.XYZ_to_Oklab(each / made.unit_lm[0]) for each in (xyz, found / 0.5)]
    hues = [np.degrees(np.arctan2(each[2], each[1])) for each in lab]
    assert hues[1] == pytest.approx(hues[0], abs=0.05)
    clipped = np.array([1.0, 0.5, 0.0]) @ emission_xyz_lm(WS2812B)[:3]
    assert found / 0.5 != pytest.approx(clipped, rel=below / 10)
    assert lab[1][0] == pytest.approx(lab[0][0], abs=1e-3)


def test_rounding_is_no_foreign_colour(house_of, as_asked):
    """float32 leaves duties some 1e-7 below zero; a pure red is not reduced for that."""
    made = mixer(house_of(WS2812B))
    for one in np.eye(3):
        xyz = (one - 2e-6) @ emission_xyz_lm(WS2812B)[:3]
        assert gamut_report(made, as_asked(xyz / made.unit_lm[0])[None, None], 0.5).reduced == 0.0
