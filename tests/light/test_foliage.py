"""Foliage: drawn whole at every size; its edge follows leaves, not the cells it is laid out in."""

from __future__ import annotations

import numpy as np
import pytest

from sim.light.materials import garden
from sim.light.materials.tufts import Habit, tufted

HABITS = {name: habit for name, habit in vars(garden).items() if isinstance(habit, Habit)}


def grown(habit: Habit, pixel_m: float, radius_m: float = 1.2) -> tuple[np.ndarray, ...]:
    """A round plant in the middle of a square picture with room for what hangs out of it."""
    half = int((radius_m + habit.reach_m) / pixel_m) + 2
    at = (np.arange(-half, half) + 0.5) * pixel_m
    solid = (np.hypot(at[:, None], at[None, :]) < radius_m).astype(np.float32)
    return tufted(habit, solid, -half * pixel_m, half * pixel_m, pixel_m, 3)


@pytest.mark.parametrize("name", HABITS)
@pytest.mark.parametrize("pixel_m", [0.2, 0.04])
def test_whole_at_every_size(name, pixel_m):
    cover, light, hue = grown(HABITS[name], pixel_m)
    for each in (cover, light, hue):
        assert np.isfinite(each).all()
    assert cover.min() == 0
    assert 0.9 < cover.max() <= 1
    edge = np.r_[cover[0], cover[-1], cover[:, 0], cover[:, -1]]
    assert edge.max() == 0  # `reach_m` is as far as anything grows


def longest_straight(cover: np.ndarray) -> int:
    """Most picture pixels in a line, level or plumb, along which the plant begins or ends."""
    best = 0
    for solid in (cover > 0.5, (cover > 0.5).T):
        steps = solid[1:] != solid[:-1]
        for row in steps:
            at = np.flatnonzero(np.diff(np.r_[0, row.astype(int), 0]))
            best = max(best, int((at[1::2] - at[::2]).max(initial=0)))
    return best


@pytest.mark.parametrize("name", ["AIRY", "BROAD", "DROOPING"])
def test_no_edge_is_straight(name):
    habit, pixel_m = HABITS[name], 0.004
    cover, _, _ = grown(habit, pixel_m, 0.8)
    # a tuft is round: no stretch of its edge as long as a cell is straight to within 4 mm
    assert longest_straight(cover) * pixel_m < habit.tuft_m * habit.flat


@pytest.mark.parametrize("away_m", [0.0, 31.0, -31.0])
def test_heaps_stand_out_and_are_lit_from_above_wherever_a_plant_stands(away_m):
    """Heaps bulge out of the outline by more than tufts do, and are darker below than above."""
    habit, pixel_m, radius_m = HABITS["BROAD"], 0.02, 1.2
    half = int((radius_m + habit.reach_m) / pixel_m) + 2
    at = (np.arange(-half, half) + 0.5) * pixel_m
    far = np.hypot(at[:, None], at[None, :])
    solid = (far < radius_m).astype(np.float32)
    left, top = away_m - half * pixel_m, away_m + half * pixel_m
    cover, light, _ = tufted(habit, solid, left, top, pixel_m, 3)
    beyond = far > radius_m + 1.5 * habit.tuft_m * habit.flat
    assert (cover[beyond] > 0.5).mean() > 0.025
    whole = cover > 0.9
    # lit is 0.5 on average where a heap is found, and from 1 - depth to 1 from below to above it
    assert np.ptp(np.quantile(light[whole], [0.1, 0.9])) > 0.64 * habit.depth
