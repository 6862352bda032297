"""Colours as written, against published values and another library."""

from __future__ import annotations

import numpy as np
import pytest

from effects.colour_spaces import decoded
from effects.colours import codes, linear_rgb, planckian_xy


def test_hex_is_srgb():
    # IEC 61966-2-1: 0.5 decodes to 0.21404, here the nearest code 0x80 = 0.50196 to 0.21586.
    assert linear_rgb("#ff8000") == pytest.approx([1, 0.21586, 0], abs=1e-5)


def test_oklch_of_red():
    # CSS Color Module Level 4, conversion samples (from memory): sRGB red.
    assert linear_rgb("oklch(0.62796 0.25768 29.234)") == pytest.approx([1, 0, 0], abs=1e-3)
    assert linear_rgb("OKLCH( 62.796%  0.25768 29.234 )") == pytest.approx([1, 0, 0], abs=1e-3)


# x, y of the blackbody: CIE 15:2018, illuminant A is Planckian at 2855.5 K with these
# coordinates; the others from the same publication's formula, by colour-science 0.4.7
# (sd_blackbody, CIE 1931 2° observer, 1 nm).
@pytest.mark.parametrize(
    ("cct_k", "x", "y"),
    [
        (1000, 0.65275, 0.34446),
        (2000, 0.52668, 0.41330),
        (2855.5, 0.44758, 0.40745),
        (3000, 0.43693, 0.40408),
        (6500, 0.31353, 0.32363),
        (10000, 0.28063, 0.28829),
        (20000, 0.25646, 0.25763),
    ],
)
def test_planckian_locus(cct_k, x, y):
    assert planckian_xy(cct_k) == pytest.approx((x, y), abs=9e-4)


@pytest.mark.outside
def test_planckian_locus_by_colour_science(recwarn):
    colour = pytest.importorskip("colour")
    shape = colour.SpectralShape(360, 830, 1)
    cmfs = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"].copy().align(shape)
    for cct_k in np.geomspace(1000, 20000, 25):
        black = colour.sd_blackbody(cct_k, shape)
        xy = colour.XYZ_to_xy(colour.sd_to_XYZ(black, cmfs, method="Integration"))
        ours = colour.xy_to_UCS_uv(np.array(planckian_xy(cct_k)))
        # Krystek (1985) states his fit for 1000 K to 15,000 K; beyond, as its docstring says.
        assert np.abs(ours - colour.xy_to_UCS_uv(xy)).max() < (2e-4 if cct_k <= 15000 else 5e-4)


def test_a_white_has_luminance_one():
    # Rec. 709 luminance weights.
    for cct_k in (1500, 2700, 4000, 9000):
        assert linear_rgb(f"{cct_k} K") @ [0.2126, 0.7152, 0.0722] == pytest.approx(1, abs=2e-3)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("999 K", "999 K is outside 1000 K..20000 K"),
        ("20001 K", "20001 K is outside 1000 K..20000 K"),
        ("oklch(1.2 0.1 30)", "'oklch(1.2 0.1 30)' is outside what is a colour; lightness"),
        ("#ff00", "'#ff00' is not a colour"),
        ("warm", "'warm' is not a colour"),
        ("", "'' is not a colour"),
        ("3000", "'3000' is not a colour"),
        ("-3000 K", "'-3000 K' is not a colour"),
    ],
)
def test_what_is_no_colour(text, says):
    with pytest.raises(ValueError, match=r"colour|outside|chroma") as refused:
        linear_rgb(text)
    assert str(refused.value).startswith(says)


def test_codes_of_a_plain_controller():
    assert codes("#ff8001") == pytest.approx([1, 128 / 255, 1 / 255])
    white = codes("3000 K")
    assert white.max() == pytest.approx(1)
    # The same chromaticity: decoded codes are the linear colour, scaled.
    assert decoded(white) == pytest.approx(linear_rgb("3000 K") / linear_rgb("3000 K").max())
    # Outside sRGB: what is negative becomes 0.
    assert codes("oklch(0.75 0.15 210)").min() == 0
