"""Light between wall, ground and soffit of a drawn house."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sim.light import luminance, probe
from sim.light.bounce import factors
from sim.light.patches import patches_of
from sim.light.scene import node_radiance
from sim.light.view import GROUND, UNDER, WALL

GREY = 0.5
SCENES: dict = {}  # by how often light goes on; made once for all tests of the file


def eave(wall):
    band = replace(wall((0, 3.7, 10, 3.9), depth_m=0.0), faces="down")
    return (
        wall((0, 0, 10, 3.9)),
        band,
        wall((0, 3.8, 10, 4.0), depth_m=0.5, texture="timber"),
        wall((-20, -8, 30, 0), texture="path"),
    )


@pytest.fixture
def lit(house_of, scene_of, wall):
    """A wall with an eave over bare ground, a row of lights under the board."""
    x = np.arange(0.5, 9.6, 0.1)
    house = house_of(
        np.column_stack([x, 0 * x + 3.79]), standoff_m=0.4, aim=(0, -1, 0), surfaces=eave(wall)
    )

    def made(bounces=2):
        if bounces in SCENES:
            return SCENES[bounces]
        wanted = replace(house, drawing=replace(house.drawing, bounces=bounces))
        SCENES[bounces] = scene_of(wanted, (640, 360))
        return SCENES[bounces]

    return made


def planes(scene):
    made = patches_of(scene.lattice, scene.sheets, scene.view)
    start, column, factor = factors(made, scene.relief)
    dense = np.zeros((len(made), len(made)))
    row = np.repeat(np.arange(len(made)), np.diff(start))
    dense[row, column] = factor
    return made, dense


def test_patches_cover_what_shows(lit):
    made, _ = planes(lit())
    area = {f: made.area_m2[made.facing == f].sum() for f in (WALL, GROUND, UNDER)}
    # wall 10 m × 3.7 m and the board's 0.2 m; a soffit 0.5 m deep; to whole picture pixels
    assert area[WALL] == pytest.approx(10 * 3.9, rel=0.03)
    assert area[UNDER] == pytest.approx(10 * 0.5, rel=0.06)
    # the ground that shows ends at the lower edge of the picture: 0.857 m below, seen by an eye
    # 1.6 m up and 10 m away, that is 3.49 m before the house; 0.651 of the width there
    view = lit().view
    below = view.size_px[1] * view.pixel_m - view.top_m
    reach = 1.6 / (1.6 + below)
    wide = view.size_px[0] * view.pixel_m
    assert area[GROUND] == pytest.approx(wide * (1 + reach) / 2 * 10 * (1 - reach), rel=0.03)


def test_reciprocity_and_balance(lit):
    made, factor = planes(lit())
    exchange = made.area_m2[:, None] * factor
    assert exchange == pytest.approx(exchange.T, rel=1e-5)
    assert factor.sum(axis=1).max() < 1
    walls = made.facing == WALL
    assert not factor[np.ix_(walls, walls)].any()


def test_a_wall_sends_no_more_than_half_to_the_ground(lit):
    made, factor = planes(lit())
    on_ground = factor[:, made.facing == GROUND].sum(axis=1)[made.facing == WALL]
    # endless ground would take one half (symmetry of sky and ground); the foot of the wall sees
    # nearly that, the ground here being 3.5 m deep
    assert on_ground.max() <= 0.5
    assert on_ground.max() > 0.4


def test_never_more_light_out_than_in(lit):
    scene = lit()
    made, _ = planes(scene)
    light = np.zeros((len(scene.seen), 4), np.float32)
    light[:, 0] = 1
    direct = scene.transport.shine(light, scene.reflected, scene.lattice.sheet)
    lux = scene.bounce.illuminance(direct)[:, 1]
    sent = np.zeros(len(made))
    on = made.of_node >= 0
    np.add.at(sent, made.of_node[on], (scene.bounce.leaves[:, 1] * direct[:, 1])[on])
    first, thrown = (made.area_m2 * sent).sum(), (made.area_m2 * lux).sum()
    assert 0 < thrown < first * (1 + GREY)
    # and what leaves at first is no more than half of what the pixels make
    assert first <= GREY * np.pi * len(scene.seen) * 1.02


def test_none_is_the_direct_light_alone(lit):
    without, once, twice = lit(0), lit(1), lit(2)
    light = np.zeros((len(without.seen), 4), np.float32)
    light[:, 0] = 0.7
    assert without.bounce is None
    direct = without.transport.shine(light, without.reflected, without.lattice.sheet)
    assert np.array_equal(node_radiance(without, light), direct)
    more = [node_radiance(s, light)[:, 1].mean() for s in (without, once, twice)]
    assert more[0] < more[1] < more[2]


def test_the_soffit_is_lit_by_the_wall_below(lit):
    """Its nodes look down and away from it: every lux there has bounced."""
    scene, without = lit(), lit(0)
    light = np.zeros((len(scene.seen), 4), np.float32)
    light[:, 0] = 1
    on = scene.lattice.facing == UNDER
    middle = on & (np.abs(scene.lattice.place_m[:, 0] - 5) < 1)
    assert node_radiance(without, light)[on] == pytest.approx(0, abs=1e-6)
    assert node_radiance(scene, light)[middle, 1].min() > 0.1
    # and in the picture
    column, row = scene.view.to_px(np.array([5.0, 3.75])).astype(int)
    assert luminance(scene, light)[row, column, 1] > luminance(without, light)[row, column, 1]


def test_linear_in_the_light(lit):
    scene = lit()
    random = np.random.default_rng(2)
    one, other = (random.uniform(0, 1, (len(scene.seen), 4)).astype(np.float32) for _ in range(2))
    sums = node_radiance(scene, one) + node_radiance(scene, other)
    assert node_radiance(scene, one + other) == pytest.approx(sums, rel=1e-4, abs=1e-6)


def test_a_probe_tells_what_the_picture_shows(lit):
    scene = lit()
    light = np.zeros((len(scene.seen), 4), np.float32)
    light[:, 0] = 1
    seen = luminance(scene, light, direct=False) - luminance(scene, 0 * light, direct=False)
    for x, y in ((5.0, 0.3), (3.0, 2.0), (5.0, 3.75)):
        column, row = scene.view.to_px(np.array([x, y])).astype(int)
        around = seen[row, column - 2 : column + 3, 1].mean()
        # a matte surface of reflectance ρ: L = E ρ / π
        found = probe(scene, light, (x, y)).illuminance_lx
        assert found * GREY / np.pi == pytest.approx(around, rel=0.1)
        if y < 3:
            assert found > probe(lit(0), light, (x, y)).illuminance_lx
