"""The OKLab matrices against the pairs published with them."""

from __future__ import annotations

import numpy as np
import pytest

from sim.colour.kernel import OKLAB_L
from sim.colour.mixing import XYZ_TO_LMS

# B. Ottosson, "A perceptual color space for image processing" (2020), table of XYZ → Lab pairs
# [from memory]; colour-science 0.4.7 gives the same to the digits printed.
PAIRS = [
    ((0.950, 1.000, 1.089), 1.000),
    ((1.000, 0.000, 0.000), 0.450),
    ((0.000, 1.000, 0.000), 0.922),
    ((0.000, 0.000, 1.000), 0.153),
]


@pytest.mark.parametrize(("xyz", "lightness"), PAIRS)
def test_lightness_of_the_published_pairs(xyz, lightness):
    assert np.cbrt(XYZ_TO_LMS @ xyz) @ OKLAB_L == pytest.approx(lightness, abs=6e-4)


def test_white_has_equal_cone_responses():
    # D65 of IEC 61966-2-1; constant hue towards grey needs l = m = s there.
    np.testing.assert_allclose(XYZ_TO_LMS @ [0.9505, 1.0, 1.089], 1.0, atol=1e-3)
