"""Moving, mirroring and repeating against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.app.edit import commands as c
from sim.app.edit.draft import Draft, draft_of, house_of, made
from sim.app.edit.lengths import bare, rounded_m, written

MILLIMETRES = st.integers(-20_000, 20_000)


def outline(draft: Draft, name: str) -> np.ndarray:
    found = next(each for each in house_of(draft).drawing.surfaces if each.name == name)
    return found.outline_m


@pytest.mark.parametrize("x_m", [5.0, 4.75, -3.0])
def test_mirrored_twice_is_what_it_was(metric: Draft, x_m: float) -> None:
    items = (c.Item("surface", "roof"), c.Item("run", "rake"), c.Item("place", "attic"))
    mirror = c.MirrorAbout(items, x_m, copy=False)
    once = made(metric, mirror)
    twice = made(once, mirror)
    assert np.allclose(outline(once, "roof")[:, 0], 2 * x_m - outline(metric, "roof")[:, 0])
    assert np.array_equal(outline(twice, "roof"), outline(metric, "roof"))
    assert twice.data == metric.data


def test_a_mirrored_copy_is_the_mirror_image_with_its_light(metric: Draft) -> None:
    items = (c.Item("run", "rake"), c.Item("surface", "window"))
    house = house_of(made(metric, c.MirrorAbout(items, 20.0)))
    ours, image = house.run("rake"), house.run("rake-2")
    here, there = house.pixels, house.pixels
    # the reflection about x = 20 m: x → 40 − x, and an aim's part along x changes its sign
    assert np.allclose(there.xy_m[image.pixels, 0], 40 - here.xy_m[ours.pixels, 0])
    assert np.allclose(there.xy_m[image.pixels, 1], here.xy_m[ours.pixels, 1])
    assert np.allclose(there.aim[image.pixels], here.aim[ours.pixels] * (-1, 1, 1))
    assert image.aim == ours.aim


def test_sides_change_places_in_names(cottage: Draft) -> None:
    items = (c.Item("run", "eave-left"), c.Item("surface", "pot-left"))
    house = house_of(made(cottage, c.MirrorAbout(items, 30.0)))
    assert house.runs[-1].name == "eave-right-2"
    assert "pot-right-2" in [each.name for each in house.drawing.surfaces]


def test_copies_stand_a_step_apart_each_in_front_of_the_one_before(metric: Draft) -> None:
    items = (c.Item("surface", "window"), c.Item("run", "sill"))
    house = house_of(made(metric, c.RepeatBy(items, 3, 1.25, 0.1)))
    names = [each.name for each in house.drawing.surfaces]
    assert names == ["wall", "roof", "window", "window-2", "window-3", "window-4", "door"]
    lefts = [each.outline_m.min(axis=0) for each in house.drawing.surfaces if "wind" in each.name]
    assert np.allclose(np.diff(lefts, axis=0), (1.25, 0.1), atol=1e-12)
    starts = [run.path_m[0] for run in house.runs if run.name.startswith("sill")]
    assert np.allclose(np.diff(starts, axis=0), (1.25, 0.1), atol=1e-12)
    assert {run.count for run in house.runs if run.name.startswith("sill")} == {40}


def test_moved_by_a_dimension_there_and_back(imperial: Draft) -> None:
    items = (c.Item("run", "left rake"), c.Item("surface", "wall"))
    there = made(imperial, c.ShiftBy(items, 3 * 0.3048, -0.5 * 0.3048))
    assert np.allclose(house_of(there).run("left rake").path_m[0], [5 * 0.3048, 8.5 * 0.3048])
    back = made(there, c.ShiftBy(items, -3 * 0.3048, 0.5 * 0.3048))
    assert np.allclose(outline(back, "wall"), outline(imperial, "wall"), atol=1e-6)


def test_a_rise_of_six_in_twelve(metric: Draft) -> None:
    (x0, y0), (x1, y1) = house_of(metric).run("rake").path_m[:2]
    # a 6/12 roof stands at 26.565°, as every framing square has it
    assert math.degrees(math.atan2(y1 - y0, x1 - x0)) == pytest.approx(26.565, abs=5e-4)


@given(MILLIMETRES, st.sampled_from(["m", "cm", "mm"]))
def test_millimetres_are_written_and_read_back(value_mm: int, units: str) -> None:
    number = bare(value_mm / 1000 + 0.0004, units)
    assert number * {"m": 1000, "cm": 10, "mm": 1}[units] == pytest.approx(value_mm, abs=1e-9)
    assert rounded_m(value_mm / 1000 - 0.0004, units) == pytest.approx(value_mm / 1000)


@given(st.integers(-20_000, 20_000), st.sampled_from(["ft", "in"]))
def test_sixteenths_of_an_inch_are_written_and_read_back(sixteenths: int, units: str) -> None:
    metres = sixteenths / 16 * 0.0254  # the inch is 25.4 mm exactly
    number = bare(metres + 0.0006, units)
    assert number * {"ft": 192, "in": 16}[units] == pytest.approx(sixteenths, abs=1e-3)
    text = written(metres, units, '1"' if units == "in" else "1 ft")
    assert written(metres, units, text) == text


@settings(max_examples=30, deadline=None)
@given(st.lists(st.tuples(MILLIMETRES, MILLIMETRES), min_size=1, max_size=6))
def test_many_small_moves_end_where_one_would(steps: list[tuple[int, int]]) -> None:
    from pathlib import Path

    metric = draft_of(Path(__file__).parent / "metric.yaml")
    one = (c.Item("route", "wall corner"),)
    draft = metric
    for dx, dy in steps:
        draft = made(draft, c.ShiftBy(one, dx / 1000, dy / 1000))
    dx, dy = (sum(each) / 1000 for each in zip(*steps, strict=True))
    at_once = made(metric, c.ShiftBy(one, dx, dy))
    assert draft.data == at_once.data
