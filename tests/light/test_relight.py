"""A scene lit anew is the scene that would have been made from the start."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from layouts import change, load_house
from sim.frame import relight, scene
from sim.light import coarser, lifted, picture
from sim.light.scene import node_radiance

DEMO = Path(__file__).parents[2] / "demo"
SIZE = (480, 290)


@pytest.fixture(scope="module")
def cottage():
    return load_house(DEMO / "cottage/house.yaml")


@pytest.fixture(scope="module")
def moved(cottage):
    path = (cottage.run("eave-left").path_m + np.array([0.2, -0.3])).tolist()
    return change(cottage, runs={"eave-left": {"path": path}})


def test_lights_elsewhere_are_as_in_a_scene_made_anew(cottage, moved) -> None:
    anew = scene(moved, SIZE)
    again = relight(scene(cottage, SIZE), moved)
    light = np.full((len(moved.pixels), 4), 0.3, np.float32)
    # the exposure is taken over, so both are shown at one
    a, b = (picture(one, light, exposure_ev=3.0) for one in (anew, again))
    assert np.array_equal(a, b)
    assert not np.array_equal(b, picture(scene(cottage, SIZE), light, exposure_ev=3.0))


def test_a_run_more_than_was_painted_with(cottage) -> None:
    more = change(cottage, runs={"extra": {"pixels": "sk6812-rgbw-warm", "path": [[4, 1], [6, 1]],
                                           "aim": "wall", "standoff": 0.1}})  # fmt: skip
    again = relight(scene(cottage, SIZE), more)
    light = np.full((len(more.pixels), 4), 0.3, np.float32)
    a = picture(scene(more, SIZE), light, exposure_ev=3.0)
    assert np.array_equal(a, picture(again, light, exposure_ev=3.0))


def test_fewer_places_take_about_the_same_light(cottage, moved) -> None:
    made = scene(cottage, SIZE)
    few = coarser(made, 44)
    assert len(few.lattice.place_m) < len(made.lattice.place_m) / 3
    light = np.full((len(moved.pixels), 4), 0.3, np.float32)
    shown = [picture(relight(one, moved), light, exposure_ev=3.0).astype(float)
             for one in (made, few)]  # fmt: skip
    # codes of 0..255; what a coarse grid blurs is the edge of a pool of light, not its amount
    assert abs(shown[0].mean() - shown[1].mean()) < 2.0
    assert np.abs(shown[0] - shown[1]).mean() < 6.0


def test_a_wet_path_mirrors_over_fewer_places_too(cottage) -> None:
    wet = replace(cottage, drawing=replace(cottage.drawing, ground="wet"))
    made = scene(wet, SIZE)
    few = relight(coarser(made, 44), wet)
    assert made.mirror is not None
    assert few.mirror is not None
    # its light is taken from nodes that there are, and its cells are those of the lattice
    assert few.mirror.corner.max() < len(few.lattice.place_m)
    assert few.mirror.step_px == few.lattice.step_px
    light = np.full((len(wet.pixels), 4), 0.3, np.float32)
    film = slice(made.mirror.first_row, made.mirror.first_row + len(made.mirror.film))
    shown = [picture(one, light, exposure_ev=3.0)[film].astype(float) for one in (made, few)]
    assert np.abs(shown[0] - shown[1]).mean() < 6.0


def test_a_wet_path_mirrors_the_lifted_night(cottage) -> None:
    wet = replace(cottage, drawing=replace(cottage.drawing, ground="wet"))
    made = scene(wet, SIZE)
    up = lifted(made, made.exposure_ev)
    assert made.mirror is not None
    assert up.mirror is not None
    assert np.array_equal(up.mirror.film, made.mirror.film)
    assert (up.mirror.dark >= made.mirror.dark - 1e-6).all()
    # lifted and coarse is coarse and lifted
    one, two = coarser(up, 44).mirror, lifted(coarser(made, 44), made.exposure_ev).mirror
    assert one is not None
    assert two is not None
    assert np.array_equal(one.dark, two.dark)


def test_daylight_lifts_the_night_and_leaves_the_pixels_as_they_are(cottage) -> None:
    made = scene(cottage, SIZE)
    up = lifted(made, made.exposure_ev)
    light = np.full((len(cottage.pixels), 4), 0.3, np.float32)
    assert np.array_equal(node_radiance(made, light), node_radiance(up, light))
    dark = np.zeros_like(light)
    walls = made.sheet >= 0
    before, after = (picture(one, dark, exposure_ev=made.exposure_ev)[walls].mean()
                     for one in (made, up))  # fmt: skip
    assert before < 60 < 100 < after
    assert (up.night >= made.night).all()
