"""A run under an eave lights the wall below, and neither the board nor the roof over it."""

from __future__ import annotations

import numpy as np
import pytest

from sim.light import illuminance_lx, luminance

AIMS = {"down": (0, -1, 0), "45": (0, -1, -1)}


def eave(wall, roof_m):
    return (
        wall((0.5, 3, 9.5, 4.5), depth_m=roof_m, texture="slate"),
        wall((1, 0, 9, 3)),
        wall((0.5, 2.8, 9.5, 3), depth_m=0.5, texture="timber"),
    )


@pytest.mark.parametrize("roof_m", [0.5, 0.2, -1.0])  # as the board, and at its true depth
@pytest.mark.parametrize("y", [2.78, 2.8, 2.82])  # below, on and above the board's lower edge
@pytest.mark.parametrize("aim", sorted(AIMS))
def test_only_the_wall_is_lit(house_of, scene_of, wall, full, aim, y, roof_m):
    x = np.arange(1.1, 9, 0.1)
    house = house_of(
        np.column_stack([x, 0 * x + y]),
        standoff_m=0.45,
        aim=AIMS[aim],
        surfaces=eave(wall, roof_m),
    )
    scene = scene_of(house)
    places = [(5.02, 2.2, 0), (5.02, 2.9, 0.5), (5.02, 3.3, roof_m)]
    below, board, roof = illuminance_lx(scene, full(house), places)
    assert below > 1
    assert board == 0
    assert roof == 0
    # and in the picture: what the pixels add, without their own dots
    added = luminance(scene, full(house), direct=False) - scene.night
    rows = scene.view.to_px(np.array([[5.02, 2.92], [5.02, 3.3], [5.02, 2.2]]))[:, 1].astype(int)
    on_board, on_roof, on_wall = (float(added[row, 160, 1]) for row in rows)
    assert on_wall > 0.1
    assert on_board == pytest.approx(0, abs=1e-3)
    assert on_roof == pytest.approx(0, abs=1e-3)


def test_under_a_gable_the_wall_up_to_the_ridge_is_lit(house_of, scene_of, wall, full):
    from layouts.records import Surface

    trim = wall((0, 0, 1, 1)).material
    left = np.array([[1, 1.5], [5, 4.5], [5, 4.75], [1, 1.75]])
    right = left[::-1] * (-1, 1) + (10, 0)
    surfaces = (
        wall((0, 0, 10, 6)),
        Surface("left", left, trim, 0.5),
        Surface("right", right, trim, 0.5),
    )
    along = np.linspace(0.05, 0.95, 60)[:, None]
    path = np.array([1, 1.47]) + along * (np.array([5, 4.47]) - [1, 1.47])
    house = house_of(path, standoff_m=0.45, aim=(0.6, -0.8, 0), surfaces=surfaces)
    scene = scene_of(house)
    # higher than most of the run, under its board; beyond it, over the board
    under, over = illuminance_lx(scene, full(house), [(5.3, 4.0, 0), (3, 4.0, 0)])
    assert under > 0.1
    assert over == 0
