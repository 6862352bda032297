"""From luminance to codes of the display."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sim.light import picture
from sim.light.tone import (
    LUT_SIZE,
    code_table,
    ev_of,
    grey_code,
    scale_of,
    srgb_decode,
    srgb_encode,
)


def test_srgb_transfer_function():
    # IEC 61966-2-1: 0.5 decodes to 0.21404, 0.18 encodes to 0.46136 (colour-science 0.4.7 agrees)
    assert srgb_decode(0.5) == pytest.approx(0.21404, abs=1e-5)
    assert srgb_encode(0.18) == pytest.approx(0.46136, abs=1e-5)
    v = np.linspace(0, 1, 1001)
    assert srgb_decode(srgb_encode(v)) == pytest.approx(v, abs=1e-6)
    table = code_table()
    assert table[0] == 0
    assert table[-1] == pytest.approx(255)
    assert np.all(np.diff(table) > 0)


def test_exposure_value():
    # K = 12.5 at ISO 100: EV 4 is a mean of 2 cd/m²; it comes out as 18 % grey, code 118
    assert ev_of(2.0) == pytest.approx(4.0)
    assert scale_of(4.0) * 2.0 == pytest.approx(0.18)
    assert int(grey_code(np.array([2.0]), 4.0)[0]) in (117, 118)
    assert scale_of(5.0) == pytest.approx(scale_of(4.0) / 2)


def test_brighter_is_never_darker():
    codes = grey_code(np.geomspace(1e-3, 1e5, 2000), 4.0).astype(int)
    assert np.all(np.diff(codes) >= 0)
    assert codes[0] <= 2
    assert codes[-1] >= 254


@pytest.mark.parametrize("exposure_ev", [1.0, 2.5, 4.0])
def test_a_grey_is_the_pixel_of_that_luminance(house_of, scene_of, exposure_ev):
    """What the legends show is what the picture shows, in the shoulder too."""
    scene = scene_of(house_of(np.zeros((0, 2))), (64, 64))
    none = np.zeros((0, 4), np.float32)
    wanted = np.geomspace(0.1, 10, 21)
    for level, code in zip(wanted, grey_code(wanted, exposure_ev), strict=True):
        even = replace(scene, night=np.full_like(scene.night, level))
        shown = picture(even, none, exposure_ev=exposure_ev)
        # the picture's dither rounds each pixel up or down; over one tile of it the mean is exact
        # but for a step of its table, which lies below
        linear = srgb_decode(code / 255)
        step = 255 * float(srgb_encode(linear + 1 / LUT_SIZE) - srgb_encode(linear))
        assert -0.52 - step <= shown.mean() - float(code) <= 0.52
        assert np.ptp(shown.astype(int)) <= 1


def test_display_white_is_shown_below_full():
    # value 1.0 lies in the shoulder: 0.42 + 0.58 · 1 / (1 + 1) = 0.71, in sRGB code 219 of 255
    assert scale_of(0.0) == pytest.approx(1.44)
    assert int(grey_code(np.array(1 / 1.44), 0.0)) == 219
