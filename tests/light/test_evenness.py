"""How evenly single points light a wall, against the closed form and a table made outside.

The table is the photometric distance law summed over an endless row, calculated apart from this
project's code; for m = 1 the row has an exact sum.
"""

from __future__ import annotations

import numpy as np
import pytest

from sim.light import illuminance_lx
from sim.light.evenness import evenness, row_uniformity
from sim.light.sources import cosine_power

#: half angle [deg] -> Emin/Emax at s/D = 0.75, 1, 1.25, 1.5, 2, 3
TABLE = {
    85: (0.995, 0.969, 0.906, 0.813, 0.600, 0.291),
    70: (0.993, 0.958, 0.880, 0.771, 0.538, 0.235),
    60: (0.991, 0.947, 0.854, 0.729, 0.481, 0.190),
    45: (0.983, 0.907, 0.770, 0.612, 0.347, 0.105),
    37.5: (0.970, 0.858, 0.682, 0.503, 0.248, 0.058),
    30: (0.936, 0.753, 0.529, 0.344, 0.133, 0.020),
    22.5: (0.819, 0.523, 0.286, 0.145, 0.034, 0.002),
    15: (0.435, 0.154, 0.045, 0.012, 0.001, 0.000),
}


@pytest.mark.parametrize("half_deg", TABLE)
def test_table_of_uniformity(half_deg):
    power = {37.5: 3.0}.get(half_deg, float(cosine_power(half_deg)))  # m = 3 is 37.5° rounded
    got = [row_uniformity(s, power) for s in (0.75, 1, 1.25, 1.5, 2, 3)]
    assert got == pytest.approx(TABLE[half_deg], abs=0.0011)


@pytest.mark.parametrize("s", [0.5, 1, 1.25, 1.362, 1.5, 2, 3])
def test_exact_sum_of_lambertian_points(s):
    b = np.pi / s
    want = (np.tanh(b) - b / np.cosh(b) ** 2) / (1 / np.tanh(b) + b / np.sinh(b) ** 2)
    assert row_uniformity(s, 1.0) == pytest.approx(want, rel=1e-9)


def _row(house_of, wall, aim, half_deg=60.0):
    # 30 lm nodes 200 mm apart, 100 mm before the wall; their intensity here is 1 cd for π lm
    x = 20 + (np.arange(201) - 100) * 0.2
    surfaces = (wall((-20, -20, 60, 20)),)
    xy = np.column_stack([x, 0 * x + 3.0])
    return house_of(
        xy, standoff_m=0.1, aim=aim, half_deg=half_deg, surfaces=surfaces, size_m=(40, 6)
    )


def test_lux_under_and_between_nodes(house_of, wall, scene_of, full):
    per_lumen = 30 / np.pi
    down = _row(house_of, wall, (0, -1, 0))
    scene = scene_of(down)
    places = [(20 + dx, 3.0 - y, 0.0) for y in (0.1, 0.5, 1.0) for dx in (0.0, 0.1)]
    got = per_lumen * illuminance_lx(scene, full(down), np.array(places))
    # summed outside the project for an endless row; groups of far nodes count as one
    want = [299.85, 231.93, 28.286, 28.286, 7.3887, 7.3887]
    assert got == pytest.approx(want, rel=3e-3)
    facing = _row(house_of, wall, (0, 0, -1))
    got = per_lumen * illuminance_lx(
        scene_of(facing), full(facing), np.array([(20, 3, 0), (20.1, 3, 0)])
    )
    assert got == pytest.approx([1040.20, 500.75], rel=3e-3)


def test_evenness_of_a_run(house_of, wall):
    from dataclasses import replace

    house = _row(house_of, wall, (0, -1, 0))
    run = replace(house.runs[0], pitch_m=0.2, path_m=house.pixels.xy_m[[0, -1]])
    pixels = replace(house.pixels, along_m=np.arange(201) * 0.2)
    (found,) = evenness(replace(house, runs=(run,), pixels=pixels))
    # Lambertian, s = 200, h = 100: one node alone is brightest at h·√(1/3) = 58 mm, where the
    # table has U = 0.608; the row is a little farther down, as its neighbours reach there. It is
    # even from 108 mm on, where D = √(h² + y²) reaches s/1.362
    assert row_uniformity(0.2 / np.hypot(0.1, 0.0577), 1.0) == pytest.approx(0.608, abs=0.001)
    assert found.off_m == pytest.approx(0.1)
    assert 0.0577 < found.brightest.depth_m < 0.07
    here = row_uniformity(0.2 / np.hypot(0.1, found.brightest.depth_m), 1.0)
    assert found.brightest.uniformity == pytest.approx(here, abs=1e-3)
    assert found.even_from_m == pytest.approx(0.108, abs=0.006)
    at = {line.depth_m: line.uniformity for line in found.lines}
    assert at[0.1] == pytest.approx(231.93 / 299.85, abs=0.003)
    assert at[1.0] == pytest.approx(1.0, abs=0.001)


def test_a_run_that_faces_away_has_none(house_of, wall):
    assert evenness(_row(house_of, wall, (0, 0, 1))) == ()
