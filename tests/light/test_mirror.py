"""The wet path as a mirror: Fresnel, the mirror image, and what becomes of the light."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from layouts.records import Drawing
from sim.light import luminance
from sim.light.mirror import _weights, fresnel, mirror_of, reflect, reflectance


@pytest.mark.parametrize(
    ("incidence_deg", "want"),
    # water, n = 1.333, unpolarised; 0° is ((n - 1) / (n + 1))², 30° worked out by hand,
    # the others [handbook, from memory]
    [(0, 0.0204), (30, 0.02144), (60, 0.0596), (70, 0.1334), (80, 0.3480), (89.99, 1.0)],
)
def test_fresnel_of_water(incidence_deg, want):
    assert fresnel(np.radians(incidence_deg)) == pytest.approx(want, rel=0.01)


def test_at_brewsters_angle_one_polarisation_is_missing():
    angle = np.arctan(1.333)
    # of the other: ((n² - 1) / (n² + 1))² (Fresnel's equations at tan θ = n)
    want = ((1.333**2 - 1) / (1.333**2 + 1)) ** 2 / 2
    assert fresnel(angle) == pytest.approx(want, rel=1e-9)


def _wet(house_of, wall, texture="path"):
    surfaces = (wall((0, 0, 10, 6)), wall((0, -5, 10, 0), texture=texture))
    house = house_of([(5.0, 0.6)], surfaces=surfaces, aim=(0, 0, 1), standoff_m=0.01)
    drawing: Drawing = replace(house.drawing, ground="wet")
    return replace(house, drawing=drawing)


def _plain_mirror(scene, lean_deg):
    film = np.zeros(scene.sheet.shape, np.float32)
    film[int(scene.view.top_m * scene.view.px_per_m) + 1 :] = 1
    dark = np.zeros_like(scene.night)
    made = mirror_of(film, scene.view, scene.lattice, scene.sheet, scene.tint, dark, lean_deg)
    assert made is not None
    return made


def test_mirror_image_of_a_point(house_of, wall, scene_of):
    scene = scene_of(_wet(house_of, wall), (640, 440))
    mirror = _plain_mirror(scene, 0.02)
    base = np.zeros_like(scene.night)
    lit = np.zeros((len(scene.lattice.sheet), 3), np.float32)
    reflect(mirror, lit, np.ones((1, 3)), np.array([[5.0, 0.6, 0.0]]), scene.view, base)
    seen = base[..., 1].astype(float)
    rows, columns = np.indices(seen.shape)
    place = scene.view.to_m(
        np.array([(columns * seen).sum(), (rows * seen).sum()]) / seen.sum() + 0.5
    )
    # a level mirror at y = 0 shows the point at (5, 0.6) at (5, -0.6) of the picture
    cell = scene.lattice.cell_m
    assert place == pytest.approx((5.0, -0.6), abs=cell)
    # its image has the intensity times what water mirrors at that angle: tan = distance / height
    away = np.hypot(10.0, 0) / (1.6 + 0.6)
    want = fresnel(np.arctan(away))
    got = seen.sum() * scene.view.pixel_m**2
    assert got == pytest.approx(want, rel=0.05)


def test_even_surroundings_are_mirrored_by_the_reflectance(house_of, wall, scene_of):
    view = scene_of(_wet(house_of, wall), (320, 220)).view
    rows = np.arange(200, 219)
    for lean_deg in (0.5, 7.0):
        weight = _weights(view, rows, 2, int(view.top_m * view.px_per_m) // 2, lean_deg)
        # every direction sees 1: what comes back is what the film mirrors, no more and no less
        assert weight.sum(axis=1) == pytest.approx(reflectance(view, rows, lean_deg), rel=0.02)
        assert np.all(weight >= 0)
        assert np.all(weight.sum(axis=1) < 1)


def test_film_takes_from_the_ground_what_it_mirrors(house_of, wall, scene_of):
    wet = _wet(house_of, wall)
    scene = scene_of(wet, (320, 220))
    dry = scene_of(replace(wet, drawing=replace(wet.drawing, ground="grass")), (320, 220))
    row = scene.sheet.shape[0] - 2
    film = scene.mirror.film[row - scene.mirror.first_row]
    # 0.6 of the reflectance is left when soaked, and of that what is not mirrored above it
    want = 0.6 * (1 - film * reflectance(scene.view, np.array([row]))[0])
    assert scene.tint[row, 40:280, 1] / dry.tint[row, 40:280, 1] == pytest.approx(
        want[40:280], rel=1e-3
    )
    assert film.max() <= 1.0


def test_a_light_draws_a_streak(house_of, wall, scene_of, full):
    house = _wet(house_of, wall)
    scene = scene_of(house, (640, 440))
    extra = luminance(scene, full(house)) - luminance(replace(scene, mirror=None), full(house))
    extra -= luminance(scene, 0 * full(house)) - luminance(
        replace(scene, mirror=None), 0 * full(house)
    )
    column = int(scene.view.to_px(np.array([5.0, 0.0]))[0])
    below = slice(int(scene.view.top_m * scene.view.px_per_m) + 2, None)
    assert extra[below, column, 1].sum() > 5 * extra[below, column + 80, 1].sum()
    assert extra[: below.start - 4] == pytest.approx(0, abs=1e-5)


def test_a_wet_lawn_mirrors_nothing(house_of, wall, scene_of):
    assert scene_of(_wet(house_of, wall, texture="lawn")).mirror is None


def test_snow_lies_on_roof_and_ground(house_of, wall, scene_of):
    surfaces = (
        wall((0, 0, 10, 3)),
        wall((0, 3, 10, 5), texture="slate"),
        wall((0, -5, 10, 0), texture="lawn"),
    )
    house = house_of([(5, 2)], surfaces=surfaces)
    from layouts.catalogue import materials
    from sim.light.cover import covered

    white = replace(house, drawing=replace(house.drawing, ground="snow"))
    names = [s.material.name for s in covered(white.drawing).surfaces]
    snow = materials()["snow"].name
    assert names == ["trim", snow, snow]
    assert covered(house.drawing) is house.drawing
