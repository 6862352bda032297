"""The view as cells: light and solid angle are those of the scene."""

import numpy as np
import pytest

from layouts import load_house
from sim.frame import scene
from sim.light.cells import cells_of, directions
from sim.light.flash import verdicts
from sim.light.scene import node_radiance

HOUSE = """\
format: evenfall-house/1
name: Wall
drawing:
  size: [6, 3]
  viewer: 10
  surfaces:
    - {name: wall, material: render-white, depth: 0, outline: [[0, 0], [6, 0], [6, 3], [0, 3]]}
runs:
  - {name: eave, pixels: ws2813, path: [[1, 2.5], [3, 2.5]], aim: down, standoff: 0.05}
  - {name: side, pixels: sk6812-rgbw-warm, path: [[3, 2.5], [5, 2.5]], aim: 45, standoff: 0.05}
"""


@pytest.fixture(scope="module")
def lit(tmp_path_factory):
    path = tmp_path_factory.mktemp("wall") / "house.yaml"
    path.write_text(HOUSE)
    made = scene(load_house(path), (320, 180))
    return made, cells_of(made)


def test_walls_are_as_bright_as_the_scene_says(lit):
    made, cells = lit
    light = np.random.default_rng(5).uniform(0, 1, (len(made.seen), 4)).astype(np.float32)
    nodes = node_radiance(made, light) - made.lamplight
    direct = cells.pixels @ np.einsum("nc,ncr->nr", light, made.seen)
    walls = cells.cd_m2(light[None])[0] - direct
    # Every cell's wall is one of the scene's nodes.
    gap = np.abs(walls[::7, None] - nodes).sum(axis=-1).min(axis=1)
    assert gap.max() < 1e-3 * nodes.max()


def test_pixels_lose_no_light(lit):
    made, cells = lit
    one = np.zeros((1, len(made.seen), 4), np.float32)
    one[0, 7, 1] = 1.0
    cell_m = made.lattice.step_px * made.view.pixel_m
    direct = cells.pixels @ np.einsum("nc,ncr->nr", one[0], made.seen)
    np.testing.assert_allclose(direct.sum(axis=0) * cell_m**2, made.seen[7, 1], rtol=1e-5)


def test_frames_at_once_equal_frames_alone(lit):
    made, cells = lit
    light = np.random.default_rng(6).uniform(0, 1, (130, len(made.seen), 4)).astype(np.float32)
    together = cells.rgb(light)
    for frame in (0, 63, 64, 129):
        np.testing.assert_allclose(together[frame], cells.rgb(light[frame][None])[0], rtol=1e-4)


def test_full_light_is_one_where_it_is_bright(lit):
    made, cells = lit
    full = cells.rgb(np.ones((1, len(made.seen), 4), np.float32))[0]
    luminance = full @ [0.2126, 0.7152, 0.0722]
    assert luminance.max() == pytest.approx(1, rel=1e-4)
    assert luminance.min() >= 0.0999
    assert (luminance > 0.999).sum() > 20


def test_some_cells_alone_are_as_they_were_among_all(lit):
    made, cells = lit
    which = np.array([3, 50, 51, len(cells.white_cd_m2) - 1])
    light = np.random.default_rng(8).uniform(0, 1, (2, len(made.seen), 4)).astype(np.float32)
    np.testing.assert_allclose(
        cells.only(which).rgb(light), cells.rgb(light)[:, which], rtol=1e-4, atol=1e-6
    )


def test_cells_are_half_a_degree_at_most(lit):
    _, cells = lit
    assert np.degrees(np.sqrt(cells.solid_angle_sr.max())) <= 0.5


def test_solid_angle_of_a_wall_in_closed_form():
    # A rectangle 2a × 2b straight ahead at distance d fills 4·atan(a·b / (d·√(a² + b² + d²)))
    # (A. Gershun, The light field, 1936; formula as in radiometry handbooks [from memory]).
    a, b, d, cell_m = 4.0, 2.0, 5.0, 0.05
    x, y = np.meshgrid(np.arange(-a, a, cell_m) + cell_m / 2, np.arange(-b, b, cell_m) + cell_m / 2)
    places = np.column_stack([x.ravel() + 7, y.ravel() + 1.6])
    found, at_deg = directions(places, cell_m, (7.0, 1.6, d))
    expected = 4 * np.arctan(a * b / (d * np.sqrt(a**2 + b**2 + d**2)))
    assert found.sum() == pytest.approx(expected, rel=1e-4)
    # The angle of the edge in the middle row: atan(a / d).
    edge = at_deg[np.abs(at_deg[:, 1]) < 0.4, 0].max()
    assert edge == pytest.approx(np.degrees(np.arctan(a / d)), abs=0.5)


BARE = """\
format: evenfall-house/1
name: Sky
drawing: {{size: [6, 3], viewer: 10, surfaces: []}}
runs: [{{name: line, pixels: ws2815, path: [[{x}, 2], [{x}, 2.5]], aim: out, standoff: 0.03}}]
"""


@pytest.mark.parametrize(("x", "seen"), [(3, True), (400, False)])
def test_a_bare_sky(tmp_path, x, seen):
    path = tmp_path / "house.yaml"
    path.write_text(BARE.format(x=x))
    made = scene(load_house(path), (320, 180))
    cells = cells_of(made)
    assert (len(cells.white_cd_m2) > 0) is seen
    rgb = cells.rgb(np.ones((3, len(made.seen), 4), np.float32))
    for verdict in verdicts(rgb, 40, cells.solid_angle_sr, cells.at_deg):
        assert verdict.passes_strict
