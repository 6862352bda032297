"""Colour spaces against the standard's digits, published pairs and another library."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from effects import colour_spaces as spaces

SOMEWHERE = np.random.default_rng(1).uniform(0.0, 1.0, (200, 3))
#: Numbers of the matrices by which a second copy of one would be known.
DIGITS = re.compile(r"0\.2126|0\.7152|0\.412[24]|0\.41239|3\.240|12\.92\b|0\.2104542|0\.8189330")


def test_the_way_back_has_the_digits_of_the_amendment():
    # IEC 61966-2-1 amendment 1 (2003): XYZ → RGB with seven digits.
    printed = [
        [3.2406255, -1.5372080, -0.4986286],
        [-0.9689307, 1.8757561, 0.0415175],
        [0.0557101, -0.2040211, 1.0569959],
    ]
    np.testing.assert_allclose(spaces.XYZ_TO_RGB, printed, atol=5.1e-8)


def test_white_and_luminance():
    # IEC 61966-2-1: D65 of x = 0.3127, y = 0.3290; weights sum to 1.
    x, y, z = spaces.WHITE_XYZ
    np.testing.assert_allclose([x / (x + y + z), y / (x + y + z)], [0.3127, 0.3290], atol=5e-5)
    assert spaces.LUMINANCE.sum() == pytest.approx(1.0, abs=1e-12)


def test_srgb_there_and_back():
    linear = np.linspace(0, 1, 1001)
    # IEC 61966-2-1: both branches meet at 0.0031308 / 0.04045 to about 1e-8.
    assert np.abs(spaces.decoded(spaces.encoded(linear)) - linear).max() < 1e-7


# Ottosson, "A perceptual color space for image processing", table of pairs: XYZ → OKLab. Made with
# his first XYZ table; the later RGB table, which is used here, differs from it by up to 5e-4.
@pytest.mark.parametrize(
    ("xyz", "lab"),
    [
        ((0.950, 1.000, 1.089), (1.000, 0.000, 0.000)),
        ((1.000, 0.000, 0.000), (0.450, 1.236, -0.019)),
        ((0.000, 1.000, 0.000), (0.922, -0.671, 0.263)),
        ((0.000, 0.000, 1.000), (0.153, -1.415, -0.449)),
    ],
)
def test_oklab_published_pairs(xyz, lab):
    assert spaces.to_oklab(spaces.XYZ_TO_RGB @ xyz) == pytest.approx(lab, abs=2e-3)
    lms = np.cbrt(spaces.XYZ_TO_LMS @ xyz)
    np.testing.assert_allclose(
        spaces.LMS_TO_LAB @ lms, spaces.to_oklab(spaces.XYZ_TO_RGB @ xyz), atol=1e-9
    )


def test_grey_has_no_hue():
    # l = m = s for r = g = b: Ottosson's tables of 2021-01-25 are made so, to their digits.
    assert np.abs(spaces.to_oklab(np.ones(3)) - [1, 0, 0]).max() < 1e-7


def test_oklab_there_and_back():
    rgb = np.random.default_rng(1).uniform(-0.2, 1.2, (1000, 3))
    assert np.abs(spaces.from_oklab(spaces.to_oklab(rgb)) - rgb).max() < 1e-9


@pytest.mark.outside
@pytest.mark.filterwarnings("ignore")
def test_another_library_agrees():
    import colour

    # colour-science 0.4: its sRGB is IEC 61966-2-1 with the digits as printed.
    srgb = colour.RGB_COLOURSPACES["sRGB"]
    np.testing.assert_allclose(spaces.RGB_TO_XYZ, srgb.matrix_RGB_to_XYZ, atol=1e-12)
    np.testing.assert_allclose(spaces.XYZ_TO_RGB, srgb.matrix_XYZ_to_RGB, atol=5e-5)
    np.testing.assert_allclose(
        spaces.encoded(SOMEWHERE), colour.models.eotf_inverse_sRGB(SOMEWHERE), atol=1e-7
    )
    xyz = SOMEWHERE @ spaces.RGB_TO_XYZ.T
    # It has Ottosson's first XYZ table: see above.
    np.testing.assert_allclose(spaces.to_oklab(SOMEWHERE), colour.XYZ_to_Oklab(xyz), atol=1e-3)
    np.testing.assert_allclose(
        spaces.uv_1976(xyz), colour.Luv_to_uv(colour.XYZ_to_Luv(xyz)), atol=1e-9
    )


def test_nobody_keeps_a_matrix_of_his_own():
    root = Path(__file__).parents[2]
    own = [
        str(path.relative_to(root))
        for package in ("layouts", "effects", "sim")
        for path in (root / package).rglob("*.py")
        if path.name != "colour_spaces.py" and DIGITS.search(path.read_text(encoding="utf-8"))
    ]
    assert own == []
