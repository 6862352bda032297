"""Lit windows and lanterns."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sim.light import HOURS, luminance, to_px
from sim.light.windows import is_lantern, lamps_of, lit_part


def test_lantern_or_window(wall):
    assert is_lantern(wall((1, 1.8, 1.12, 2.05), texture="glass_lit"))
    assert not is_lantern(wall((1, 1, 2, 2), texture="glass_lit"))


def test_everybody_is_up_at_dusk_and_fewer_late(wall):
    windows = [wall((x, y, x + 1, y + 1), texture="glass_lit") for x in range(40) for y in (1, 4)]
    lit = [sum(lit_part(one, HOURS[hour]) > 0 for one in windows) for hour in ("dusk", "late")]
    assert lit[0] == len(windows)
    assert 0.2 * len(windows) < lit[1] < 0.6 * len(windows)
    assert lit_part(wall((1, 1, 2, 2), texture="glass"), HOURS["dusk"]) == 0.0


def test_lantern_lights_the_wall_around_it(house_of, scene_of, wall):
    surfaces = (wall((0, 0, 10, 6)), wall((4.9, 2, 5.1, 2.3), 0.15, texture="glass_lit"))
    scene = scene_of(house_of(np.zeros((0, 2)), surfaces=surfaces), (640, 384))
    night = luminance(scene, np.zeros((0, 4), dtype=np.float32))[..., 1]
    (x, y), (far, _) = to_px(scene, np.array([[5.0, 1.8], [9.0, 1.8]])).astype(int)
    assert night[y, x] > 3 * night[y, far]


def test_window_has_the_intensity_of_its_area(house_of, wall):
    house = house_of([(5, 3)], surfaces=(wall((2, 1, 3, 2), texture="glass_lit"),))
    hour = HOURS["evening"]
    tree = lamps_of(house, hour)
    assert tree is not None
    # I = L · A: as drawn, 0.35 of the hour's luminance on average (test_hand.py), one square metre
    assert tree.axis_per_sr[0] == pytest.approx(0.35 * hour.window_cd_m2)
    assert lamps_of(house_of([(5, 3)]), hour) is None


def test_share_and_own_word_of_windows(wall):
    windows = [wall((x, y, x + 1, y + 1), texture="glass_lit") for x in range(40) for y in (1, 4)]
    few, some = (
        {n for n, window in enumerate(windows) if lit_part(window, HOURS["dusk"], share)}
        for share in (0.2, 0.5)
    )
    assert few < some  # who is up late was up before
    assert len(few) == pytest.approx(0.2 * len(windows), abs=8)
    assert not any(lit_part(window, HOURS["dusk"], 0.0) for window in windows)
    dim = replace(windows[0], lit=0.25)
    assert lit_part(dim, HOURS["late"], 0.0) == 0.25
    assert lit_part(replace(dim, lit=0.0), HOURS["dusk"]) == 0.0


def test_a_dim_window_has_its_part_of_the_light(house_of, wall):
    bright = wall((2, 1, 3, 2), texture="glass_lit")
    trees = [
        lamps_of(house_of([(5, 3)], surfaces=(replace(bright, lit=part),)), HOURS["evening"])
        for part in (1.0, 0.25)
    ]
    one, other = (tree.axis_per_sr[0] for tree in trees if tree is not None)
    assert other == pytest.approx(0.25 * one)


@pytest.mark.parametrize(
    ("wide", "tall", "part"), [(0.2, 0.3, 1.0), (0.1, 0.25, 1.0), (0.2, 0.3, 0.4)]
)
def test_a_lantern_has_the_intensity_of_its_area_up_and_down(house_of, wall, wide, tall, part):
    lantern = replace(wall((2, 1, 2 + wide, 1 + tall), texture="glass_lit"), lit=part)
    hour = HOURS["evening"]
    tree = lamps_of(house_of([(5, 3)], surfaces=(lantern,)), hour)
    assert tree is not None
    # I = L · A: as drawn, 9 times the hour's windows on average, of width times height
    assert tree.axis_per_sr == pytest.approx([part * 9 * hour.window_cd_m2 * wide * tall] * 2)
