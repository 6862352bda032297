"""The picture as a whole."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts import load_house
from sim.frame import scene
from sim.light import HOURS, luminance, picture, screen_picture, to_m, to_px
from sim.light.compose import stretches
from sim.light.tone import srgb_decode
from sim.light.view import GROUND

ROOT = Path(__file__).parents[2]
HOUSES = ("cottage", "townhouse", "bungalow")
KEPT = Path(__file__).parent / "kept_luminance.npz"  # remade by `python tests/light/remake_kept.py`


def coarse_luminance(name: str) -> np.ndarray:
    """(18, 32, 3) mean linear colour [cd/m²] of a demo house with a third of its light on."""
    house = load_house(ROOT / f"demo/{name}/house.yaml")
    night = scene(house, (320, 180), "evening")
    light = np.full((len(house.pixels), 4), 1 / 3, dtype=np.float32)
    light[::3, 0] = 1.0
    got = luminance(night, light)
    return got.reshape(18, 10, 32, 10, 3).mean(axis=(1, 3))


@pytest.mark.parametrize("name", HOUSES)
def test_demo_house_looks_as_it_did(name):
    with np.load(KEPT) as kept:
        want = kept[name]
    # 2 % of the value and a hundredth of the mean luminance of a lit wall: what the eye may notice
    assert coarse_luminance(name) == pytest.approx(want, rel=0.02, abs=0.02)


def test_same_light_same_picture(house_of, scene_of, wall, full):
    house = house_of([(5, 3), (6, 3)], surfaces=(wall((1, 0, 9, 5), texture="brick"),))
    one, other = scene_of(house), scene_of(house)
    assert np.array_equal(picture(one, full(house)), picture(other, full(house)))
    assert one.exposure_ev == other.exposure_ev


def test_bytes_side_by_side_are_the_words_of_the_screen(house_of, scene_of, wall, full):
    house = house_of([(5, 3), (6, 3)], surfaces=(wall((1, 0, 9, 5), texture="siding"),))
    scene = scene_of(house)
    assert np.array_equal(picture(scene, full(house)), screen_picture(scene, full(house)))


@given(st.data())
def test_stretches_are_the_sheets_but_for_the_sky(data):
    shape = data.draw(st.tuples(st.integers(1, 5), st.integers(1, 12)))
    flat = data.draw(st.lists(st.integers(-1, 2), min_size=shape[0] * shape[1],
                              max_size=shape[0] * shape[1]))  # fmt: skip
    sheet = np.array(flat, np.int16).reshape(shape)
    start, found = stretches(sheet)
    laid = np.full(shape, -1, np.int16)
    for y in range(shape[0]):
        for first, end, number in found[start[y] : start[y + 1]]:
            assert (laid[y, first:end] == -1).all()
            laid[y, first:end] = number
            assert end == shape[1] or sheet[y, end] != number
    assert start[-1] == len(found)
    assert np.array_equal(laid, sheet)


def test_several_threads_at_once(house_of, scene_of, wall, full):
    house = house_of([(5, 3), (6, 3)], surfaces=(wall((1, 0, 9, 5), texture="siding"),))
    scene, light = scene_of(house), full(house)
    want = picture(scene, light)
    with ThreadPoolExecutor(4) as pool:  # a window that draws while it prepares another scene
        drawn = [pool.submit(picture, scene, light) for _ in range(12)]
        built = [pool.submit(scene_of, house) for _ in range(3)]
        assert all(np.array_equal(one.result(), want) for one in drawn)
        assert all(np.array_equal(picture(one.result(), light), want) for one in built)


@pytest.mark.parametrize("hour", sorted(HOURS))
@pytest.mark.parametrize("size", [(320, 180), (333, 127), (97, 211), (16, 16), (300, 1)])
def test_any_size_and_hour(house_of, scene_of, wall, full, hour, size):
    house = house_of([(5, 3)], surfaces=(wall((1, 0, 9, 5)),))
    got = picture(scene_of(house, size, hour), full(house))
    assert got.shape == (size[1], size[0], 3)
    assert got.dtype == np.uint8
    assert got.max() > got.min()


def test_later_is_darker(house_of, scene_of, wall, full):
    house = house_of([(5, 3)], surfaces=(wall((1, 0, 9, 5)),))
    dark = 0 * full(house)
    mean = [luminance(scene_of(house, hour=h), dark).mean() for h in ("dusk", "evening", "late")]
    assert mean[0] > mean[1] > mean[2] > 0


def test_bare_sky_without_surfaces_and_pixels(house_of, scene_of):
    house = house_of(np.zeros((0, 2)))
    got = picture(scene_of(house), np.zeros((0, 4), dtype=np.float32))
    assert got.std() > 0


def test_pixels_in_the_bare_sky_are_seen(house_of, scene_of, full):
    house = house_of([(5.02, 3.02)], aim=(0, 0, 1))
    scene = scene_of(house)
    lit, dark = luminance(scene, full(house)), luminance(scene, 0 * full(house))
    y, x = np.unravel_index(np.argmax((lit - dark).sum(axis=2)), lit.shape[:2])
    column, row = to_px(scene, np.array([5.02, 3.02]))
    assert (x, y) == (int(column), int(row))


def test_dot_holds_its_intensity(house_of, scene_of, full):
    house = house_of([(5, 3)], aim=(0, 0, 1), standoff_m=0.0)
    scene = scene_of(house, (640, 360))
    extra = (luminance(scene, full(house)) - luminance(scene, 0 * full(house)))[..., 1]
    # ∫ L dA over the patch is the intensity: 1 cd times the cosine to the eye, and a little veil
    towards = np.array(scene.view.eye_m) - (5, 3, 0)
    want = towards[2] / np.linalg.norm(towards)
    x, y = to_px(scene, np.array([5.0, 3.0])).astype(int)
    core = extra[y - 3 : y + 4, x - 3 : x + 4].sum() * scene.view.pixel_m**2
    assert want < core < 1.25 * want


def test_exposure_is_one_stop_per_ev(house_of, scene_of, wall, full):
    house = house_of([(5, 3)], surfaces=(wall((0, 0, 10, 6)),))
    scene = scene_of(house)
    dim = srgb_decode(picture(scene, full(house), exposure_ev=9.0) / 255).mean()
    bright = srgb_decode(picture(scene, full(house), exposure_ev=8.0) / 255).mean()
    assert bright == pytest.approx(2 * dim, rel=0.05)


def test_saturated_light_keeps_its_hue(house_of, scene_of, wall, full):
    """Outside the display's gamut and far over white, green stays green: no channel overtakes."""
    house = house_of([(5, 3)], standoff_m=1.0, surfaces=(wall((0, 0, 10, 6)),))
    scene = scene_of(house, hour="late")
    green = np.array([-0.4, 1.0, -0.05], dtype=np.float32)  # wider than sRGB
    scene = replace(
        scene,
        reflected=scene.reflected * green,
        seen=scene.seen * green,
        night=0 * scene.night,
    )
    for level in (1, 30, 1000):
        shown = picture(scene, level * full(house), exposure_ev=0.0).astype(int)
        lit = (shown[..., 1] > 90) & (scene.sheet >= 0)
        assert lit.any()
        assert np.all(shown[lit][:, 1] >= shown[lit][:, 0])
        assert np.all(shown[lit][:, 1] >= shown[lit][:, 2])


def test_places_there_and_back(house_of, scene_of):
    scene = scene_of(house_of([(5, 3)]))
    xy = np.random.default_rng(0).uniform(-1, 8, (20, 2))
    assert to_m(scene, to_px(scene, xy)) == pytest.approx(xy)
    x, z = scene.view.ground_m(np.array([5.0]), np.array([-0.4]))
    # line of sight from (5, 1.6, 10) through (5, −0.4, 0) meets the ground 2 m before the wall
    assert (x[0], z[0]) == pytest.approx((5.0, 2.0))
    # a lawn of depth 0 drawn above y = 0 lies at the foot of the wall, one of depth −6 behind it
    assert scene.view.place(5.0, 0.3, 0.0, GROUND)[2] == 0
    assert scene.view.place(5.0, 0.3, -6.0, GROUND)[2] < -2
