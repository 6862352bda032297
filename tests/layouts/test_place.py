"""Where pixels sit, and where they face."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts import House, kinds
from layouts.place import across, along_path, count_and_pitch, path_length_m

HEAD = "format: evenfall-house/1\nname: T\ndrawing: {size: [10, 5]}\n"


def test_pixels_fill_the_path_at_the_pitch_of_their_kind(house: Callable[[str], House]) -> None:
    # 60 pixels a metre on 5.005 m: 300 pixels, the first half a pitch from the start.
    run = house(f"{HEAD}runs: [{{name: r, pixels: ws2813, path: [[1, 3], [6.005, 3]]}}]\n").runs[0]
    assert (run.count, run.pitch_m) == (300, pytest.approx(1 / 60))
    made = house(f"{HEAD}runs: [{{name: r, pixels: ws2813, path: [[1, 3], [6.005, 3]]}}]\n").pixels
    assert made.xy_m[0] == pytest.approx([1 + 0.5 / 60, 3])
    assert made.xy_m[-1] == pytest.approx([1 + 299.5 / 60, 3])


def test_a_path_as_long_as_its_strip_is_filled_to_the_last_pixel() -> None:
    # 0.7 m × 60/m is 42 exactly, though 0.7 / (1/60) is a little less in floating point.
    assert count_and_pitch(0.7, kinds()["ws2813"], None)[0] == 42
    assert count_and_pitch(0.6999, kinds()["ws2813"], None)[0] == 41


def test_pixels_spread_evenly_where_a_count_is_given(house: Callable[[str], House]) -> None:
    made = house(
        f"{HEAD}runs: [{{name: r, pixels: ws2813, path: [[0, 0], [4, 0]], count: 8}}]\n"
    ).pixels
    assert made.xy_m[:, 0] == pytest.approx([0.25, 0.75, 1.25, 1.75, 2.25, 2.75, 3.25, 3.75])
    assert made.along_m == pytest.approx(made.xy_m[:, 0])


def test_pixels_go_round_corners(house: Callable[[str], House]) -> None:
    path = "[[0, 0], [1, 0], [1, 0], [1, 2]]"  # a point written twice is no harm
    made = house(
        f"{HEAD}runs: [{{name: r, pixels: ws2813, path: {path}, count: 6, aim: wall}}]\n"
    ).pixels
    corners = [[0.25, 0], [0.75, 0], [1, 0.25], [1, 0.75], [1, 1.25], [1, 1.75]]
    assert made.xy_m == pytest.approx(np.array(corners))


@given(
    st.lists(st.tuples(st.floats(-20, 20), st.floats(-20, 20)), min_size=2, max_size=8, unique=True)
)
def test_points_lie_on_the_path_in_order(points: list[tuple[float, float]]) -> None:
    path = np.array(points)
    length = path_length_m(path)
    if length < 0.1:
        return
    xy, direction = along_path(path, np.linspace(0, length, 50))
    assert np.hypot(*direction.T) == pytest.approx(np.ones(50))
    assert xy[0] == pytest.approx(path[0], abs=1e-9)
    assert xy[-1] == pytest.approx(path[-1], abs=1e-6)
    assert np.hypot(*np.diff(xy, axis=0).T).max() <= length / 49 + 1e-9  # a chord is no longer


@pytest.mark.parametrize(
    ("aim", "vector"),
    [
        ("down", (0, -1, 0)),
        ("up", (0, 1, 0)),
        ("wall", (0, 0, -1)),
        ("out", (0, 0, 1)),
        (0, (0, -1, 0)),
        (90, (0, 0, -1)),
        (45, (0, -math.sqrt(0.5), -math.sqrt(0.5))),
        (-90, (0, 0, 1)),
        (180, (0, 1, 0)),
    ],
)
def test_aims_on_a_level_path(aim: str | float, vector: tuple[float, ...]) -> None:
    found, left = across(aim, np.array([[1.0, 0.0]]))
    assert found[0] == pytest.approx(vector, abs=1e-12)
    assert left == pytest.approx(1)


def test_an_aim_on_a_gable_stands_across_it() -> None:
    # Hand calculation: a rake of 45°, straight down projected across it is (½, −½), made unit.
    found, left = across("down", np.array([[math.sqrt(0.5), math.sqrt(0.5)]]))
    assert found[0] == pytest.approx([math.sqrt(0.5), -math.sqrt(0.5), 0])
    assert left == pytest.approx(math.sqrt(0.5))


@given(st.floats(-180, 180), st.floats(-math.pi, math.pi))
def test_aims_are_unit_and_perpendicular(aim: float, slope: float) -> None:
    direction = np.array([[math.cos(slope), math.sin(slope)]])
    found, left = across(aim, direction)
    if left > 1e-6:
        assert np.linalg.norm(found) == pytest.approx(1)
        assert abs(found[0, :2] @ direction[0]) < 1e-9


def test_a_corner_turns_the_aim(house: Callable[[str], House]) -> None:
    text = f"{HEAD}runs: [{{name: r, pixels: ws2813, path: [[0, 2], [2, 2], [2, 0]], aim: 45}}]\n"
    aim = house(text).pixels.aim
    half = math.sqrt(0.5)
    assert aim[0] == pytest.approx([0, -half, -half])
    assert aim[-1] == pytest.approx([0, 0, -1])  # on the way down, only the wall is across
