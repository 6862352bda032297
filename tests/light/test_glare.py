"""The veil that the eye adds around points of light."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import nnls

from sim.light import luminance, to_px
from sim.light.glare import _fitted, veil_cd_m2


def test_veil_of_one_lux():
    # CIE 146:2002 (from memory): L / E = 10 / θ³ + 5 / θ²; at 1° 15, at 10° 0.06
    assert veil_cd_m2(np.array([1.0, 10.0])) == pytest.approx([15.0, 0.06])


def test_fit_is_the_least_squares_fit():
    shares = np.random.default_rng(4).uniform(0.01, 1, (60, 5)) ** 2
    # scipy's non-negative least squares
    assert _fitted(shares) == pytest.approx(nnls(shares, np.ones(60))[0], abs=2e-3)


@pytest.mark.parametrize("angle_deg", [0.3, 0.6, 1.2, 3.0, 7.0])
def test_veil_around_a_pixel_in_the_picture(house_of, scene_of, full, angle_deg):
    house = house_of([(5.0, 1.6)], aim=(0, 0, 1), standoff_m=0.0)
    scene = scene_of(house, (1280, 768))
    extra = luminance(scene, full(house)) - luminance(scene, 0 * full(house))
    aside = 5.0 + 10 * np.tan(np.radians(angle_deg))
    x, y = to_px(scene, np.array([aside, 1.6])).astype(int)
    # 1 cd seen from 10 m: 0.01 lx at the eye; the fit by Gaussians keeps to a third of the law
    assert extra[y, x, 1] == pytest.approx(0.01 * veil_cd_m2(np.array(angle_deg)), rel=0.33)


@pytest.mark.parametrize("angle_deg", [3.0, 7.0])
def test_veil_of_a_pixel_beyond_the_edge_comes_from_where_it_is(
    house_of, scene_of, full, angle_deg
):
    left, right = (house_of([(x, 1.6)], aim=(0, 0, 1), standoff_m=0.0) for x in (-1.0, 11.0))
    for house, way in ((left, 1), (right, -1)):
        scene = scene_of(house, (1280, 768))
        extra = luminance(scene, full(house)) - luminance(scene, 0 * full(house))
        aside = 5.0 - way * 6.0 + way * 10 * np.tan(np.radians(angle_deg))
        x, y = to_px(scene, np.array([aside, 1.6])).astype(int)
        # the picture ends at -0.7 and 10.7; a veil laid there would be several times as strong
        assert extra[y, x, 1] == pytest.approx(0.01 * veil_cd_m2(np.array(angle_deg)), rel=0.33)


def test_veils_add(house_of, scene_of, full):
    house = house_of([(4, 2), (6, 3)], aim=(0, 0, 1))
    veil = scene_of(house).glare.veil
    one, other = np.zeros((2, 2, 3), dtype=np.float32)
    one[0], other[1] = 1, 2
    assert veil(one) + veil(other) == pytest.approx(veil(one + other), rel=1e-4, abs=1e-7)
