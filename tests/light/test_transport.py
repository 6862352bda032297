"""Light on walls and ground, against closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from sim.light import illuminance_lx
from sim.light.relief import relief_from
from sim.light.sources import sources_of, tree_of
from sim.light.transport import trace
from sim.light.view import GROUND, LEAVES, WALL

NOTHING = relief_from(np.full((2, 2), -100.0), np.full((2, 2), -100.0), -50.0, 50.0, 50.0)


def matrix(house, places, cell_m=1e-3, facing=WALL):
    places = np.atleast_2d(np.asarray(places, dtype=float))
    tree = tree_of(sources_of(house, (5, 1.6, 10)))
    return trace(tree, 1, places, np.full(len(places), facing), cell_m, NOTHING)


def lux(house, places, light, **how):
    # the pixels' flux is π lm, their intensity on the aim 1 cd
    return np.pi * matrix(house, places, **how).illuminance(light)[:, 0, 0]


@pytest.mark.parametrize("distance_m", [0.25, 0.5, 1.0, 2.0, 4.0])
def test_inverse_square_law(house_of, full, distance_m):
    house = house_of([(0, 0)], standoff_m=distance_m)
    # straight on: E = I0 / d² (photometric distance law), I0 = 1 cd
    assert lux(house, [(0, 0, 0)], full(house))[0] == pytest.approx(1 / distance_m**2, rel=1e-6)


@pytest.mark.parametrize("angle_deg", [0, 15, 30, 45, 60, 75])
def test_cosine_to_the_fourth(house_of, full, angle_deg):
    house = house_of([(0, 0)], standoff_m=0.8)
    angle = np.radians(angle_deg)
    # Lambertian source parallel to the wall: E = I0 cos⁴θ / z² (cosine at both ends, d = z / cosθ)
    want = np.cos(angle) ** 4 / 0.8**2
    got = lux(house, [(0.8 * np.tan(angle), 0, 0)], full(house))[0]
    assert got == pytest.approx(want, rel=1e-5)


@pytest.mark.parametrize("half_deg", [20, 30, 45, 60])
def test_half_angle_halves_the_intensity(house_of, full, half_deg):
    house = house_of([(0, 0)], standoff_m=1.0, half_deg=half_deg)
    angle = np.radians(half_deg)
    ahead, aside = lux(house, [(0, 0, 0), (np.tan(angle), 0, 0)], full(house))
    # what is left beside distance (cos²) and incidence (cos) is the intensity: one half
    assert aside / (ahead * np.cos(angle) ** 3) == pytest.approx(0.5, rel=1e-5)


def test_ground_below(house_of, full):
    house = house_of([(0, 3)], standoff_m=0.0, aim=(0, -1, 0))
    # height 3 m, straight below: I0 / 9; at 3 m beside, 45°: I0 cos⁴ / 9 = I0 / 36
    got = lux(house, [(0, 0, 0), (3, 0, 0)], full(house), facing=GROUND)
    assert got == pytest.approx([1 / 9, 1 / 36], rel=1e-5)


def test_leaves_take_half(house_of, full):
    house = house_of([(0, 0)], standoff_m=2.0)
    # mean of |cos| over all directions is ½: half of I0 / d²
    assert lux(house, [(0, 0, 0)], full(house), facing=LEAVES)[0] == pytest.approx(0.5 / 4)


def test_behind_is_dark(house_of, full):
    house = house_of([(0, 0)], standoff_m=0.5, aim=(0, -1, 0))
    above, same_plane, in_front = lux(house, [(0, 1, 0), (0, -1, 0.5), (0, -1, 1)], full(house))
    assert above == 0  # behind the source's own plane
    assert same_plane == 0  # grazing: the wall's cosine is 0
    assert in_front == 0  # nearer to the viewer than the source


def test_line_of_sources(house_of, full):
    z, pitch = 0.4, 1 / 60
    x = (np.arange(3600) - 1799.5) * pitch  # 60 m, as good as endless
    house = house_of(np.column_stack([x, 0 * x]), standoff_m=z)
    # n sources a metre: E = n I0 ∫ z² / (z² + x²)² dx = n I0 π / (2 z)
    assert lux(house, [(0, 0, 0)], full(house))[0] == pytest.approx(60 * np.pi / (2 * z), rel=5e-3)


def test_all_flux_arrives(house_of, full):
    house = house_of([(0.013, 0.021)], standoff_m=0.3, transmission=0.7)
    h = 0.08
    grid = np.arange(-12, 12, h)
    x, y = np.meshgrid(grid, grid)
    places = np.column_stack([x.ravel(), y.ravel(), 0 * x.ravel()])
    got = lux(house, places, full(house), cell_m=h).sum() * h * h
    # the wall takes everything the profile lets through: 0.7 · π lm. A disc of radius R takes
    # R² / (R² + z²) of a Lambertian flux; what passes a 24 m wall by is 0.06 %
    assert got == pytest.approx(0.7 * np.pi, rel=2e-3)


@pytest.mark.parametrize("half_deg", [20, 60])
@pytest.mark.parametrize("standoff_m", [0.001, 0.003, 0.005, 0.01, 0.02, 0.03, 0.1])
def test_flux_of_a_source_nearer_than_the_lattice(house_of, full, standoff_m, half_deg):
    house = house_of([(0.02, 0.01)], standoff_m=standoff_m, half_deg=half_deg)
    h = 0.06
    grid = np.arange(-6, 6, h)
    x, y = np.meshgrid(grid, grid)
    places = np.column_stack([x.ravel(), y.ravel(), 0 * x.ravel()])
    got = lux(house, places, full(house), cell_m=h).sum() * h * h
    # averaged over cells, whatever the distance: all of π lm
    assert got == pytest.approx(np.pi, rel=0.02)


@pytest.mark.parametrize("standoff_m", [0.001, 0.003, 0.005, 0.01, 0.02, 0.03, 0.1])
def test_flux_of_a_strip_close_to_the_wall(house_of, full, standoff_m):
    x = np.linspace(-1, 1, 121)
    house = house_of(np.column_stack([x, 0 * x]), standoff_m=standoff_m, aim=(0, -1, 0))
    h = 0.06
    x, y = np.meshgrid(np.arange(-8, 8, h) + 0.017, np.arange(-12, 0.5, h) + 0.004)
    places = np.column_stack([x.ravel(), y.ravel(), 0 * x.ravel()])
    got = lux(house, places, full(house), cell_m=h).sum() * h * h
    # aimed along an endless wall, each sends half of its flux to the wall's side (symmetry)
    assert got == pytest.approx(121 * np.pi / 2, rel=0.05)


def test_lattice_converges_with_second_order(house_of, full):
    house = house_of([(0.0, 0.0), (0.4, 0.1)], standoff_m=0.5)
    fine = np.random.default_rng(3).uniform(-0.8, 0.8, (300, 2))
    exact = lux(house, np.column_stack([fine, 0 * fine[:, 0]]), full(house))
    steps, errors = np.array([0.2, 0.1, 0.05, 0.025]), []
    for h in steps:
        axis = np.arange(-1, 1 + h / 2, h)
        x, y = np.meshgrid(axis, axis)
        nodes = np.column_stack([x.ravel(), y.ravel(), 0 * x.ravel()])
        grid = lux(house, nodes, full(house)).reshape(x.shape)
        at = (fine + 1) / h
        i = np.minimum(at.astype(int), len(axis) - 2)
        u, v = (at - i).T
        j, k = i.T
        bilinear = (
            grid[k, j] * (1 - u) * (1 - v)
            + grid[k, j + 1] * u * (1 - v)
            + grid[k + 1, j] * (1 - u) * v
            + grid[k + 1, j + 1] * u * v
        )
        errors.append(np.sqrt(np.mean((bilinear - exact) ** 2)))
    order = np.polyfit(np.log(steps), np.log(errors), 1)[0]
    assert 1.8 < order < 2.2  # bilinear interpolation of a smooth field
    assert errors[-1] < 0.005 * exact.max()


@pytest.mark.parametrize(("random", "worst", "mean"), [(False, 0.03, 0.003), (True, 0.08, 0.006)])
def test_groups_stand_for_their_members(house_of, full, random, worst, mean):
    x = np.arange(256) / 60
    house = house_of(np.column_stack([x, 0 * x]), standoff_m=0.45, aim=(0, -1, 0))
    light = full(house)
    if random:  # every pixel another level: the hardest case for a group
        light[:, 0] = np.random.default_rng(1).uniform(0, 1, 256)
    places = np.random.default_rng(2).uniform((-1, -3, 0), (5, -0.2, 0), (400, 3))
    places[:, 2] = 0
    grouped = lux(house, places, light)
    alone = np.zeros(len(places))  # the law itself, one source after the other
    for place, level in zip(sources_of(house, (5, 1.6, 10)).place_m, light[:, 0], strict=True):
        s = places - place
        d = np.linalg.norm(s, axis=1)
        alone += level * np.clip(-s[:, 1] / d, 0, None) * (-s[:, 2] / d) / d**2
    assert np.abs(grouped / alone - 1).max() < worst
    assert np.abs(grouped / alone - 1).mean() < mean


def test_nearer_surface_is_not_lit_from_behind(house_of, scene_of, wall, full):
    surfaces = (wall((0, 0, 10, 6)), wall((2, 0, 3, 2), depth_m=1.0))
    house = house_of([(2.5, 3)], surfaces=surfaces, aim=(0, -1, -0.2))
    scene = scene_of(house)
    on_the_wall, in_front = illuminance_lx(scene, full(house), [(2.5, 2.5, 0), (2.5, 1, 1.0)])
    assert on_the_wall > 0
    assert in_front == 0


def test_overhang_throws_a_shadow(house_of, scene_of, wall, full):
    porch = wall((2, 2.6, 4, 3), depth_m=1.4, texture="slate")
    house = house_of([(3, 4), (7, 4)], surfaces=(wall((0, 0, 10, 6)), porch), aim=(0, -1, 0))
    scene = scene_of(house)
    only_left = full(house) * np.array([[1], [0]], dtype=np.float32)
    above, below = illuminance_lx(scene, only_left, [(3, 3.3, 0), (3, 2, 0)])
    beside = illuminance_lx(scene, full(house), [(7, 2, 0)])[0]
    assert above > 0
    assert below == 0
    assert beside > 0
