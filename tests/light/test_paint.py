"""Surfaces, edges, textures, photographs."""

from __future__ import annotations

import warnings
from dataclasses import replace

import numpy as np
import pytest
from PIL import Image

from effects.colour_spaces import LUMINANCE, XYZ_TO_RGB
from layouts import materials
from layouts.records import Drawing, Photo, Surface
from sim.light import HOURS, luminance, picture, to_px
from sim.light.albedo import albedo_rgb
from sim.light.canvas import paint
from sim.light.materials import GLAZED, TEXTURES, Patch, look
from sim.light.raster import covered
from sim.light.view import GROUND, view_of


def test_every_material_can_be_drawn():
    assert {material.texture for material in materials().values()} <= TEXTURES.keys()


@pytest.mark.parametrize("texture", sorted(TEXTURES))
def test_texture_is_fair_and_repeatable(texture):
    x = np.linspace(0, 2.4, 240)[None, :]
    y = np.linspace(0, 1.8, 180)[:, None]
    patch = Patch(x, y, 0.01, (0, 0, 2.4, 1.8), 3)
    first, again = look(texture, patch), look(texture, patch)
    shade = np.broadcast_to(first.shade, (180, 240, 3))
    assert np.array_equal(first.shade, again.shade)
    assert np.isfinite(shade).all()
    assert shade.min() >= 0
    assert shade.std() > 0


@pytest.mark.parametrize("size_px", [(160, 90), (640, 360)])
@pytest.mark.parametrize(
    "name", sorted(n for n, m in materials().items() if m.texture not in GLAZED)
)
def test_texture_varies_reflectance_and_keeps_its_mean(name, size_px):
    material = materials()[name]
    gable = np.array([[1.0, 0.5], [9.0, 0.5], [5.0, 5.5]])
    drawing = Drawing((10, 6), 10, (Surface("gable", gable, material, 0.0),))
    canvas = paint(drawing, view_of(drawing, size_px), HOURS["evening"])
    weight = LUMINANCE * albedo_rgb(material)
    drawn = np.where(canvas.sheet == 0, canvas.share * (canvas.shade @ weight), 0).sum()
    area = np.where(canvas.sheet == 0, canvas.share, 0).sum()
    # E·ρ/π on average: what shows has the material's own luminous reflectance
    assert drawn / area == pytest.approx(weight.sum(), rel=0.02)


def test_shares_of_a_picture_pixel_add_up(house_of, wall):
    house = house_of([(5, 3)], surfaces=(wall((1, 0, 9, 5)), wall((2.03, 1.01, 4.47, 3.33), 0.4)))
    canvas = paint(house.drawing, view_of(house.drawing, (320, 180)), HOURS["evening"])
    assert canvas.share.sum(axis=0) == pytest.approx(1, abs=1e-5)
    assert canvas.share.min() >= 0


def test_edges_are_smooth(house_of, wall):
    house = house_of([(5, 3)], surfaces=(wall((1.013, 0.5, 9, 5)),))
    view = view_of(house.drawing, (320, 180))
    canvas = paint(house.drawing, view, HOURS["evening"])
    column, row = to_px_int(view, (1.013, 3))
    covered = np.where(canvas.sheet[0, row] == 0, canvas.share[0, row], canvas.share[1, row])
    exact = 1 - (view.to_px(np.array([1.013, 3]))[0] - column)
    assert covered[column] == pytest.approx(exact, abs=1e-4)


def test_covered_area_is_the_area_of_the_outline():
    rng = np.random.default_rng(5)
    for count in (3, 4, 7, 20):
        angle = np.sort(rng.uniform(0, 2 * np.pi, count))
        outline = np.column_stack([20 + 15 * np.cos(angle), 14 + 11 * np.sin(angle)])
        x, y = outline.T
        # shoelace formula (Gauss)
        area = 0.5 * abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))
        assert covered(outline, 40, 28).sum() == pytest.approx(area, rel=2e-3)
        assert covered(outline[::-1], 40, 28) == pytest.approx(covered(outline, 40, 28), abs=1e-6)


def to_px_int(view, xy):
    return np.floor(view.to_px(np.array(xy))).astype(int)


def test_dull_material_has_its_reflectance():
    grey = next(iter(materials().values()))
    for share in (0.05, 0.5, 1.0):
        flat = replace(grey, wavelength_nm=(380.0, 730.0), reflectance=(share, share))
        assert albedo_rgb(flat) == pytest.approx([share] * 3, rel=2e-3)


@pytest.mark.outside
@pytest.mark.parametrize("name", ["brick-red", "lap-siding-sage", "hedge", "slate", "door-blue"])
def test_colour_of_a_material_by_day(name):
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour

        material = materials()[name]
        sd = colour.SpectralDistribution(
            dict(zip(material.wavelength_nm, material.reflectance, strict=True))
        )
        xyz = colour.sd_to_XYZ(sd, illuminant=colour.SDS_ILLUMINANTS["D65"]) / 100
    # colour-science 0.4.7: true observer and daylight; ours takes even light and scales to white
    assert albedo_rgb(material) == pytest.approx(np.clip(XYZ_TO_RGB @ xyz, 0.002, None), abs=0.02)


def test_brick_is_redder_than_slate():
    brick, slate = albedo_rgb(materials()["brick-red"]), albedo_rgb(materials()["slate"])
    assert brick[0] / brick[2] > 2 * slate[0] / slate[2]


def test_lawn_lies_and_walls_stand(house_of, wall):
    house = house_of([(5, 3)], surfaces=(wall((0, -2, 10, 0), texture="lawn"), wall((1, 0, 9, 5))))
    canvas = paint(house.drawing, view_of(house.drawing, (320, 180)), HOURS["evening"])
    assert [s.facing == GROUND for s in canvas.sheets] == [True, False]


@pytest.fixture
def photo(tmp_path):
    half = np.zeros((60, 100, 3), dtype=np.uint8)
    half[:, 50:] = 230  # right half white, left half black
    Image.fromarray(half).save(tmp_path / "house.png")
    return Photo(str(tmp_path / "house.png"), ((1, 0), (9, 0), (9, 5), (1, 5)))


def test_photo_is_lit_as_a_wall(house_of, scene_of, full, photo):
    house = house_of([(4, 3), (6, 3)], standoff_m=0.5, photo=photo)
    scene = scene_of(house)
    got = luminance(scene, full(house), direct=False)[..., 1]
    (lx, ly), (rx, ry) = to_px(scene, np.array([[4.0, 2.7], [6.0, 2.7]])).astype(int)
    assert scene.sheet[ry, rx] == scene.sheet[ly, lx] == 0  # white up to the edge, and no sky
    assert got[ry, rx] > 20 * got[ly, lx]  # white wall against black, lit alike
    assert picture(scene, full(house)).max() > 100


def test_photo_darkens_to_night(house_of, scene_of, full, photo):
    house = house_of([(4, 3)], photo=photo)
    dark = luminance(scene_of(house, hour="late"), 0 * full(house))[..., 1]
    x, y = to_px(scene_of(house), np.array([7.5, 2.5])).astype(int)
    assert dark[y, x] < 0.2  # cd/m²: white paint by a few tenths of a lux


def test_sky_of_a_photo_gives_way_to_night(house_of, scene_of, full, tmp_path):
    day = np.zeros((60, 100, 3), dtype=np.uint8)
    day[:30] = (150, 190, 240)  # blue sky above
    day[30:] = (170, 90, 70)  # a red wall below
    day[40:50, 20:40] = (150, 190, 240)  # a pane that mirrors the sky stays a pane
    Image.fromarray(day).save(tmp_path / "day.png")
    photo = Photo(str(tmp_path / "day.png"), ((0, 0), (10, 0), (10, 6), (0, 6)))
    house = house_of([(5, 3.5)], photo=photo)
    scene = scene_of(house)
    (_, above), (_, wall_y), (pane_x, pane_y) = to_px(
        scene, np.array([[5, 5], [5, 2], [3, 1.5]])
    ).astype(int)
    assert scene.sheet[above, 160] < 0
    assert scene.sheet[wall_y, 160] == 0
    assert scene.sheet[pane_y, pane_x] == 0
    assert luminance(scene, full(house), direct=False)[above, 160] == pytest.approx(
        luminance(scene, 0 * full(house))[above, 160]
    )
