"""A photograph straightened by marks: what they fix, what is missing, back and on, keys alone."""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as strat

from sim.app.state import straightening as st
from sim.app.state.straightening import MarkedShape, Pixel, Straightening
from sim.app.state.straightening_fit import (
    fit_of,
    flags,
    length_of,
    names,
    place_of,
    rectangle_of,
)
from sim.app.state.straightening_grid import grid_lines
from sim.app.state.straightening_keys import accept, leave, pressed_key

sys.path.insert(0, str(Path(__file__).parent))
from pinhole import CORNERS_M, LENS, SIZE, door, length, on_wall, point, seen

# --- what marks fix ---


def test_a_door_of_known_size_fixes_the_wall() -> None:
    # The camera is the exact map, so every place of the wall must come out as it is.
    for x, y in ((0, 0), (8, 3), (5, 1)):
        assert on_wall((door(),), x, y) == pytest.approx([x, y], abs=1e-6)
    found = fit_of((door(),), "m", SIZE)
    assert found.overall_m is None
    assert "fifth" in found.notes[0]


def test_four_points_and_one_more_tell_the_error() -> None:
    corners = tuple(point(*xy) for xy in CORNERS_M)
    found = fit_of((*corners, point(4, 1)), "m", SIZE)
    assert found.overall_m == pytest.approx(0.0, abs=1e-6)
    off = fit_of((*corners, point(4, 1, (8, 0))), "m", SIZE)
    assert off.overall_m is not None
    assert off.overall_m > 0.005
    worst = max(error for _, error in off.errors_m)
    # A pixel is near 0.6 cm there (8 m on some 1280 px), and four corners share the blame.
    assert 0.01 < worst < 0.06


def test_lengths_alone_fix_it_too() -> None:
    shapes = (length((3, 0), (3.9, 0), "0.9"), length((3, 2), (3.9, 2)),
              length((3, 0), (3, 2), "2 m"), length((3.9, 0), (3.9, 2)))  # fmt: skip
    found = fit_of(shapes, "m", SIZE)
    assert found.plane is not None
    a, b = on_wall(shapes, 0, 0), on_wall(shapes, 8, 0)
    assert math.dist(a, b) == pytest.approx(8.0, rel=1e-6)
    assert "third" in found.notes[0]


def test_eaves_tell_the_lens() -> None:
    drawn = tuple(
        MarkedShape("eave", tuple(seen(x, y, LENS) for x in (0, 2, 4, 6, 8))) for y in (3, 4.5)
    )
    found = fit_of(drawn, "m", SIZE)
    assert found.lens is not None
    assert found.lens.lens[0] == pytest.approx(LENS[0], abs=1e-4)
    middle = MarkedShape("eave", tuple(Pixel(u, 750.0) for u in (900.0, 1000.0, 1100.0)))
    untold = fit_of((middle, door()), "m", SIZE)
    assert untold.lens is None
    assert untold.plane is not None
    assert "taken for perfect" in untold.notes[0]
    assert flags((middle, door()), "m", untold)[1] == []


CASES = [
    ((), "Nothing is known"),
    (tuple(point(*xy) for xy in CORNERS_M[:3]), "too few"),
    (tuple(point(x, 0) for x in (0, 2, 4, 6)), "on one line"),
    ((*(point(x, 0) for x in (0, 3, 8)), point(4, 2)), "on one line"),
    ((door(), length((0, 0), (8, 0), "8")), "remove one kind"),
    ((MarkedShape("point", (Pixel(1, 1),)),), "Type what is known of A"),
    ((length((3, 0), (3.9, 0), "0.9"),), "too few"),
]


@pytest.mark.parametrize(("shapes", "words"), CASES)
def test_what_is_missing_is_said(shapes: tuple[MarkedShape, ...], words: str) -> None:
    found = fit_of(shapes, "m", SIZE)
    assert found.plane is None
    assert words in found.missing[0]
    state = replace(st.begun(SIZE), shapes=shapes)
    after, wish = accept(state)
    assert wish is None
    assert words in after.told


def test_typed_lengths_have_units() -> None:
    assert length_of("3.5", "m") == 3.5
    # 1 ft = 0.3048 m exactly (international foot, 1959).
    assert length_of("3.5", "ft") == pytest.approx(1.0668)
    assert rectangle_of("36 in x 6 ft 8 in at 10 ft, 0", "ft") == pytest.approx(
        (3.048, 0.0, 0.9144, 2.032)
    )
    assert rectangle_of("900 mm × 2.0 m", "m") == pytest.approx((0, 0, 0.9, 2.0))
    assert place_of("-1, 2 ft", "m") == pytest.approx((-1.0, 0.6096))
    for bad in ("", "x", "1 x", "1 x 2 x 3", "0 x 2", "wide x tall"):
        with pytest.raises(ValueError, match=r".+"):
            rectangle_of(bad, "m")


def test_letters_name_the_shapes() -> None:
    told = [name for name, _ in names((door(),) * 28)]
    assert (told[0], told[25], told[26], told[27]) == ("A", "Z", "AA", "AB")


def test_grid_lines_pass_where_the_camera_sees_them() -> None:
    found = fit_of((door(),), "m", SIZE)
    at = np.array([[3, 0], [3.9, 2.0]])
    lines = grid_lines(found.plane, at, "m", 0.45)
    ground = next(line for line in lines if line.zero and not line.upright)
    a, b = np.array(seen(0, 0)), np.array(seen(8, 0))
    (du, dv), beside = b - a, ground.pixel - a
    away = (du * beside[:, 1] - dv * beside[:, 0]) / math.dist(a, b)
    assert np.abs(away).max() < 1e-3
    assert {"1 m", "2 m"} <= {line.label for line in lines}
    assert any(line.label.endswith("ft") for line in grid_lines(found.plane, at, "ft", 0.45))


# --- marking ---


def click(state: Straightening, at: Pixel) -> Straightening:
    return st.let_go(st.pressed(state, *st.on_screen(state, at)))


def test_corners_in_any_order_make_the_rectangle() -> None:
    for order in ((0, 1, 2, 3), (2, 0, 3, 1), (3, 2, 1, 0)):
        state = st.begun(SIZE)
        for index in order:
            state = click(state, door().pixel[index])
        for mark, wanted in zip(state.shapes[0].pixel, door().pixel, strict=True):
            assert mark == pytest.approx(wanted, abs=1e-6)
        assert state.typed == ""


def test_a_mark_is_dragged_and_the_drag_is_one_step() -> None:
    state = replace(st.begun(SIZE), shapes=(door(),))
    x, y = st.on_screen(state, door().pixel[2])
    state = st.pressed(state, x + 4, y)
    for step in range(10):
        state = st.pointed(state, x + step, y + step)
    state = st.let_go(state)
    assert len(state.past) == 1
    assert state.shapes[0].pixel[2] != door().pixel[2]
    assert st.undone(state).shapes == (door(),)
    assert st.redone(st.undone(state)).shapes == state.shapes
    still = st.let_go(st.pressed(state, *st.on_screen(state, state.shapes[0].pixel[0])))
    assert len(still.past) == 1


def test_zoom_keeps_what_is_under_the_pointer() -> None:
    state = st.begun(SIZE)
    before = st.on_photo(state, 300, 200)
    for _ in range(12):
        state = st.zoomed(state, 1.25, 300, 200)
    assert st.on_photo(state, 300, 200) == pytest.approx(before, abs=1e-6)
    assert st.zoomed(state, 1e-9, 5, 5).middle == Pixel(1000, 750)


KEYS = ["left", "up", "space", "tab", "return", "escape", "delete", "g", "r", "p", "l", "e", "+",
        "-", "1", "x", ",", "backspace", "z", "y"]  # fmt: skip


@given(strat.lists(strat.tuples(strat.sampled_from(KEYS), strat.booleans()), max_size=60))
def test_any_keys_leave_a_state_that_can_be_taken_back(keys: list[tuple[str, bool]]) -> None:
    state = st.begun(SIZE)
    for key, ctrl in keys:
        text = key if len(key) == 1 else " " if key == "space" else ""
        state, _ = pressed_key(state, key, False, ctrl, text)
        fit_of(state.shapes, "m", SIZE)
        for shape in state.shapes:
            assert all(0 <= one.u <= 2000 and 0 <= one.v <= 1500 for one in shape.pixel)
    end = state.shapes
    state = replace(state, begun=())
    count = len(state.past)
    for _ in range(count):
        state = st.undone(state)
    assert state.shapes == ()
    for _ in range(count):  # what was taken back before the end stays taken back
        state = st.redone(state)
    assert state.shapes == end


def test_leaving_asks_once_something_is_marked() -> None:
    assert leave(st.begun(SIZE))[1] == "leave"
    asked, wish = leave(replace(st.begun(SIZE), shapes=(door(),)))
    assert (asked.leaving, wish) == (True, None)
    assert pressed_key(asked, "escape")[0].leaving is False
    assert pressed_key(asked, "return")[1] == "leave"
