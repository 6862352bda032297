"""Chance without state: even, independent, and smooth where it says so."""

from __future__ import annotations

import numpy as np
import pytest

from effects.noise import chance, hashed, patches, ripple

PIXELS = np.arange(20_000)


def test_mix_is_murmur3():
    # MurmurHash3 reference code, fmix32: fmix32(1) = 0x514e28b7 (from memory, widely printed).
    from effects.noise import _mixed

    assert _mixed(np.array([1], np.uint32))[0] == 0x514E28B7


def test_even_and_uncorrelated():
    table = chance(5, PIXELS, np.arange(8)[:, None])
    # 20,000 draws of a uniform number: mean 0.5 ± 0.0020, standard deviation 0.2887.
    assert np.abs(table.mean(axis=1) - 0.5).max() < 0.01
    assert np.abs(table.std(axis=1) - 12**-0.5).max() < 0.005
    counted = np.histogram(table, 64, (0, 1))[0]
    # χ² with 63 degrees of freedom: 0.1 % lies above 103.4 (handbook table).
    expected = table.size / 64
    assert ((counted - expected) ** 2 / expected).sum() < 103.4
    between = np.corrcoef(table) - np.eye(8)
    assert np.abs(between).max() < 0.03
    neighbours = np.corrcoef(table[0, 1:], table[0, :-1])[0, 1]
    assert abs(neighbours) < 0.03


def test_same_numbers_same_draw_whatever_the_shape():
    assert hashed(3, np.array([7]))[0] == hashed(3, PIXELS)[7] == hashed(3, 7)[0]
    assert chance(3, PIXELS[:5], np.array([[2], [9]])).shape == (2, 5)


def test_negative_and_large_steps():
    drawn = chance(1, PIXELS[:100], np.array([[-5], [2**40]]))
    assert ((drawn >= 0) & (drawn < 1)).all()


def test_ripple_is_smooth_and_each_key_has_its_own_moments():
    key = hashed(1, np.arange(500))
    wave = ripple(np.linspace(-3, 3, 601)[:, None], key)
    assert wave.min() >= 0
    assert wave.max() < 1
    assert wave.mean() == pytest.approx(0.5, abs=0.02)
    # Steepest slope of the smooth step 3x² − 2x³ is 1.5.
    assert np.abs(np.diff(wave, axis=0)).max() <= 1.5 * 0.01 + 1e-6
    # At rest once a unit of phase, at 500 different moments.
    rest = np.abs(np.diff(wave[300:401], axis=0)).argmin(axis=0)
    assert np.histogram(rest, 10, (0, 100))[0].min() > 25


def test_patches_are_smooth_in_place_and_do_not_depend_on_the_others():
    x = np.linspace(0, 20, 4001)
    line = np.stack([x, np.full_like(x, 1.3)], -1).astype(np.float32)
    many = patches(np.array([[0.4]]), line, 2.0, 9)
    assert many.shape == (1, 4001)
    assert many.min() >= 0
    assert many.max() <= 1
    assert many.std() > 0.1
    # Slope 1.5 a patch of 2 m in either direction of the grid, (0.8 + 0.6) of it along x.
    assert np.abs(np.diff(many[0])).max() <= 1.4 * 1.5 / 2 * 0.005 + 1e-5
    some = patches(np.array([[0.4]]), line[700:900], 2.0, 9)
    assert np.array_equal(many[:, 700:900], some)


@pytest.mark.parametrize("corner_m", [(-9.0, -7.0), (40.0, 30.0)])
def test_patches_do_not_depend_on_the_others_wherever_the_house_stands(corner_m):
    """A drawing may lie left of and below its origin, or far above it."""
    xy_m = np.array(corner_m) + np.random.default_rng(5).uniform(0, 4, (40, 2))
    xy_m = xy_m.astype(np.float32)
    phase = np.array([[0.2], [1.7]])
    together = patches(phase, xy_m, 0.8, 4)
    alone = [patches(phase, each[None], 0.8, 4) for each in xy_m]
    np.testing.assert_array_equal(together, np.concatenate(alone, axis=1))
