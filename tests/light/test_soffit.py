"""The underside of an eave: lit from below, by nodes that look up or out."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sim.light import illuminance_lx, luminance
from sim.light.relief import relief_from
from sim.light.sources import cosine_power, sources_of, tree_of
from sim.light.transport import trace
from sim.light.view import UNDER

NOTHING = relief_from(np.full((2, 2), -100.0), np.full((2, 2), -100.0), -50.0, 50.0, 50.0)
OUT_M = 0.6


def matrix(house, places, cell_m=1e-3, stretch=None):
    places = np.atleast_2d(np.asarray(places, dtype=float))
    tree = tree_of(sources_of(house, (5, 1.6, 10)))
    facing = np.full(len(places), UNDER)
    return trace(tree, 1, places, facing, cell_m, NOTHING, stretch)


def lux(house, places, light, **how):
    # the pixels' flux is π lm, so I0 = (m + 1) / 2 cd
    return np.pi * matrix(house, places, **how).illuminance(light)[:, 0, 0]


@pytest.mark.parametrize("half_deg", [20, 45, 60])
@pytest.mark.parametrize("aside_m", [0.0, 0.3, 1.0])
def test_point_under_a_plane(house_of, full, half_deg, aside_m):
    """E = I cos / d² with I = I0 cos^m (photometric distance law), seen from straight below."""
    below_m = 0.7
    house = house_of([(0, 2)], standoff_m=0.2, aim=(0, 1, 0), half_deg=half_deg)
    m = cosine_power(half_deg)
    d = np.hypot(below_m, aside_m)
    cosine = below_m / d
    want = (m + 1) / 2 * cosine**m * cosine / d**2
    assert lux(house, [(aside_m, 2 + below_m, 0.2)], full(house))[0] == pytest.approx(want)


def test_looking_out_half_goes_up(house_of, full):
    house = house_of([(0, 2)], standoff_m=0.0, aim=(0, 0, 1))
    # to (0, 1, 1) from the source: the aim is 45° off, d² = 2, incidence 45°: cos² / 2 = 1/4
    got = lux(house, [(0, 3, 1), (0, 3, -1)], full(house))
    assert got == pytest.approx([0.25, 0.0])


def test_level_with_it_or_above_lights_nothing(house_of, full):
    house = house_of([(0, 2)], standoff_m=0.0, aim=(0, 1, 0))
    assert lux(house, [(0.1, 2, 0.1), (0.1, 1.5, 0.1)], full(house)) == pytest.approx(0)


@pytest.mark.parametrize("below_m", [0.005, 0.02, 0.1])
@pytest.mark.parametrize("stretch", [1.0, 4.0])
def test_all_flux_arrives(house_of, full, below_m, stretch):
    """Aimed straight up at an endless soffit, all of π lm, whatever the cells look like."""
    house = house_of([(0.013, 2)], standoff_m=0.021, aim=(0, 1, 0))
    h, deep = 0.06, 0.06 * stretch
    x, z = np.meshgrid(np.arange(-4, 4, h), np.arange(-4, 4, deep))
    places = np.column_stack([x.ravel(), 0 * x.ravel() + 2 + below_m, z.ravel()])
    got = lux(house, places, full(house), cell_m=h, stretch=np.full(len(places), stretch))
    assert got.sum() * h * deep == pytest.approx(np.pi, rel=0.02)


def eave(wall):
    """A wall, the soffit under a board that stands out, and the roof over it."""
    band = replace(wall((1, 2.9, 9, 3.1), depth_m=0.0), faces="down")
    return (
        wall((0.5, 3.2, 9.5, 4.5), depth_m=OUT_M, texture="slate"),
        wall((1, 0, 9, 3.0)),
        band,
        wall((0.5, 3.0, 9.5, 3.2), depth_m=OUT_M, texture="timber"),
    )


def test_it_lies_level_under_the_board(house_of, scene_of, wall, full):
    house = house_of([(5, 2.5)], surfaces=eave(wall), aim=(0, 1, 0), standoff_m=0.3)
    scene = scene_of(house, (640, 360))
    (sheet,) = (s for s in scene.sheets if s.soffit is not None)
    # drawn from 2.9 m to the board's edge at 3 m, in space all of it 3 m up, 0 to 0.6 m out
    assert sheet.soffit.reach_m == pytest.approx(OUT_M)
    assert sheet.soffit.high_m == pytest.approx(3.0)
    on = scene.lattice.sheet == scene.sheets.index(sheet)
    place = scene.lattice.place_m[on]
    assert place[:, 1] == pytest.approx(3.0)
    assert place[:, 2].min() >= 0
    assert place[:, 2].max() <= OUT_M
    # straight above the source 0.5 m up and 0.3 m out: I0 / d² = 1 / 0.25
    at = np.array([[5, 3.0, 0.3]])
    assert illuminance_lx(scene, full(house), at, UNDER)[0] == pytest.approx(4.0)
    lit = luminance(scene, full(house), direct=False) - luminance(scene, 0 * full(house))
    column, row = scene.view.to_px(np.array([5.0, 2.95])).astype(int)
    # grey of 0.5: L = E ρ / π; half way out is straight above
    assert lit[row, column, 1] == pytest.approx(4.0 * 0.5 / np.pi, rel=0.15)
    above = scene.view.to_px(np.array([5.0, 3.7])).astype(int)
    assert lit[above[1], above[0], 1] == pytest.approx(0, abs=1e-6)


def test_without_a_board_the_line_of_sight_says_how_far(house_of, scene_of, wall):
    band = replace(wall((1, 4.7, 9, 5.0), depth_m=0.0), faces="down")
    scene = scene_of(house_of([(5, 2.5)], surfaces=(wall((1, 0, 9, 4.7)), band)))
    (sheet,) = (s for s in scene.sheets if s.soffit is not None)
    # eye 1.6 m up, 10 m away: 0.3 · 10 / (5 - 1.6)
    assert sheet.soffit.reach_m == pytest.approx(0.3 * 10 / 3.4)
