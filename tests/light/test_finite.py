"""Numbers that are none do not reach a kernel that takes every number for finite."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sim.light import build, luminance, picture


@pytest.mark.parametrize("bad", [np.nan, np.inf, -np.inf])
def test_light_that_is_no_number_is_refused(house_of, scene_of, wall, full, bad):
    house = house_of([(5, 3), (6, 3)], surfaces=(wall((1, 0, 9, 5)),))
    scene, light = scene_of(house, (64, 64)), full(house)
    light[1, 2] = bad
    for seen in (picture, luminance):
        with pytest.raises(ValueError, match=r"light is -?(nan|inf) at \(1, 2\)"):
            seen(scene, light)
    with pytest.raises(ValueError, match="exposure is"):
        picture(scene, full(house), exposure_ev=bad)


@pytest.mark.parametrize("bad", [np.nan, np.inf, 3e38, -3e38])
def test_a_picture_reads_no_colour_beyond_its_table(house_of, scene_of, bad):
    """Whatever stands in the light: a picture comes out, and where the light is sound the same."""
    scene = scene_of(house_of(np.zeros((0, 2))), (64, 64))
    none = np.zeros((0, 4), np.float32)
    night = scene.night.copy(order="K")
    night[10, 20] = bad
    sound = picture(scene, none)
    shown = picture(replace(scene, night=night), none)
    assert np.array_equal(shown[np.arange(64) != 10], sound[np.arange(64) != 10])


@pytest.mark.parametrize("which", ["emitted", "reflected"])
def test_a_scene_is_not_built_of_light_that_is_no_number(house_of, wall, which):
    house = house_of([(5, 3), (6, 3)], surfaces=(wall((1, 0, 9, 5)),))
    (kind,) = {run.kind for run in house.runs}
    (material,) = {s.material.name for s in house.drawing.surfaces}
    given = {"emitted": {kind: np.ones((4, 3))}, "reflected": {(kind, material): np.ones((4, 3))}}
    for numbers in given[which].values():
        numbers[3, 0] = np.nan
    with pytest.raises(ValueError, match=r"is nan at .*; pass finite numbers"):
        build(house, (64, 64), **given)
