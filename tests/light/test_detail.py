"""Light finer than the lattice near single points, against the closed sum of the distance law."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sim.light import detail, luminance, to_px

GREY = 0.5  # reflectance of every test surface

Y_M = 3.0


def _row(house_of, wall, pitch_m, off_m, half_deg=60.0):
    x = np.arange(1.0, 9.0, pitch_m)
    house = house_of(
        np.column_stack([x, 0 * x + Y_M]),
        standoff_m=off_m,
        aim=(0, -1, 0),
        half_deg=half_deg,
        surfaces=(wall((0, 0, 10, 6)),),
    )
    return replace(house, runs=(replace(house.runs[0], pitch_m=pitch_m),))


def _law(house, x, y, off_m, power):
    """E [lx] at (x, Y_M - y) by I0 = (m + 1)/2 cd down-facing nodes (flux π lm)."""
    along = x - house.pixels.xy_m[:, 0]
    square = along**2 + y**2 + off_m**2
    return ((power + 1) / 2 * (y / np.sqrt(square)) ** power * off_m / square**1.5).sum()


@pytest.mark.parametrize(
    ("pitch_m", "off_m", "half_deg", "power"),
    [(0.15, 0.1, 60, 1.0), (0.2, 0.1, 60, 1.0), (0.3, 0.12, 60, 1.0), (0.3, 0.2, 30, 4.819)],
)
def test_scallops_in_the_picture(house_of, wall, scene_of, full, pitch_m, off_m, half_deg, power):
    house = _row(house_of, wall, pitch_m, off_m, half_deg)
    scene = scene_of(house, (960, 540))
    light = full(house)
    step = scene.view.pixel_m

    def lux(shown):
        got = luminance(shown, light, direct=False) - luminance(shown, 0 * light, direct=False)
        return np.pi / GREY * got[..., 1] / scene.tint[..., 1]

    fine, coarse = lux(scene), lux(replace(scene, detail=detail.NONE))
    middle = house.pixels.xy_m[len(house.pixels) // 2, 0]
    worst_fine = worst_coarse = 0.0
    brightest = max(_law(house, middle, y, off_m, power) for y in np.linspace(0.01, 1, 100))
    for y in (0.07, 0.1, 0.15, 0.25):
        column, row = np.floor(to_px(scene, np.array([middle, Y_M - y]))).astype(int)
        for k in range(column, column + int(pitch_m / step) + 1):
            at = scene.view.to_m(np.array([k + 0.5, row + 0.5]))
            want = _law(house, at[0], Y_M - at[1], off_m, power)
            least = max(want, 0.05 * brightest)  # what is nearly dark beside it counts less
            worst_fine = max(worst_fine, abs(fine[row, k] - want) / least)
            worst_coarse = max(worst_coarse, abs(coarse[row, k] - want) / least)
    assert worst_fine < 0.03
    assert worst_fine < 0.25 * worst_coarse


def test_dense_strips_need_none(house_of, wall, scene_of):
    assert len(scene_of(_row(house_of, wall, 0.0167, 0.1), (640, 360)).detail) == 0


def test_far_from_the_wall_none_is_needed(house_of, wall, scene_of):
    # s/D = 0.25: the row is even to one part in ten thousand
    assert len(scene_of(_row(house_of, wall, 0.2, 0.8), (640, 360)).detail) == 0


def test_nothing_is_shown_twice(house_of, wall, scene_of, full):
    house = _row(house_of, wall, 0.2, 0.1)
    scene = scene_of(house, (640, 360))
    assert len(scene.detail)
    light = full(house)
    both = luminance(scene, light, direct=False).sum(axis=(0, 1))
    plain = luminance(replace(scene, detail=detail.NONE), light, direct=False).sum(axis=(0, 1))
    # finer light is spread otherwise; in all it is the same
    assert both == pytest.approx(plain, rel=0.02)


def test_a_lens_narrows_the_beam(house_of, wall, scene_of):
    house = house_of([(5, 3)], surfaces=(wall((0, 0, 10, 6)),))
    narrow = replace(house, runs=(replace(house.runs[0], lens_deg=30.0),))
    # full angle 30°: m = ln ½ / ln cos 15° = 19.99; I0 = Φ (m + 1) / 2π = 3.341 cd/lm
    sources = scene_of(narrow).sources
    assert sources.power[0] == pytest.approx(19.99, abs=0.01)
    assert sources.axis_per_sr[0] == pytest.approx(3.341, abs=0.002)
