"""What presses, drags and the wheel mean, without a display."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import cast

import numpy as np
import pytest

from layouts import House
from sim.app.state.actions import Set
from sim.app.state.controls import controls
from sim.app.state.drawer import DrawerRow, content_height, foot_h, rows
from sim.app.state.pointer import knob_x, moved, near_divider, on_screen, pressed, turned
from sim.app.state.record import SCALES, State
from sim.app.state.touch_places import placed
from sim.app.state.touch_pointer import Touchable
from sim.app.state.touch_record import Thing
from sim.app.state.update import update
from sim.app.state.window_layout import Layout, layout

AT_PX = np.array([[100.0, 200.0], [110.0, 200.0], [400.0, 90.0]])
RUN = Thing("run", 0, "eave")
HOUSE = cast(House, SimpleNamespace(runs=(SimpleNamespace(first=0, count=3),)))
TOUCH = Touchable(placed(HOUSE, {RUN: AT_PX[:2]}, {}, None, AT_PX, 1.0))


@pytest.fixture
def opened(state: State) -> State:
    return replace(state, drawer=True, drawer_open=1.0)


def seen(state: State) -> tuple[Layout, tuple[DrawerRow, ...]]:
    parts = layout(state)
    return parts, rows(parts, controls(state), "Shed", 2, 60)


def press(state: State, x: float, y: float) -> State:
    parts, found = seen(state)
    for action in pressed(state, parts, found, TOUCH, round(x), round(y)):
        state = update(state, action)
    return state


def drag(state: State, x: float, y: float, dy: int = 0) -> State:
    parts, found = seen(state)
    for action in moved(state, parts, found, (round(x), round(y)), dy):
        state = update(state, action)
    return state


def slider(state: State, name: str) -> tuple[DrawerRow, float, float]:
    """Its row, the middle of its knob and of its track on the screen."""
    parts, found = seen(state)
    row = next(row for row in found if row.control is not None and row.control.id == name)
    target = on_screen(row.target, parts, state)
    return row, knob_x(row.control, target), target.y + target.h / 2


def test_a_press_beside_the_knob_brings_it_there(opened: State) -> None:
    row, knob, y = slider(opened, "brightness")
    set_ = press(opened, knob - 60, y)
    assert slider(set_, "brightness")[1] == pytest.approx(knob - 60, abs=row.target.w / 100)
    assert set_.drag == "brightness"


def test_a_knob_is_dragged_by_where_it_was_taken(opened: State) -> None:
    _, knob, y = slider(opened, "brightness")
    taken = press(opened, knob + 5, y)
    assert taken.shown_brightness == opened.shown_brightness
    dragged = drag(taken, knob + 5 - 50, y + 300)
    assert slider(dragged, "brightness")[1] == pytest.approx(knob - 50, abs=2)
    assert drag(dragged, -900, y).shown_brightness == 0.0
    assert drag(dragged, 9000, y).shown_brightness == 1.0


@pytest.mark.parametrize("scale", SCALES)
def test_sliders_of_layers_at_every_scale_and_scroll(opened: State, scale: float) -> None:
    scaled = replace(opened, scale=scale)
    scrolled = replace(scaled, scroll=slider(scaled, "0.speed")[0].place.y / scale - 40)
    row, knob, y = slider(scrolled, "0.speed")
    dragged = drag(press(scrolled, knob, y), knob + row.target.w / 4, y)
    assert dragged.value(0, "speed") == pytest.approx(0.5 + 1.0, abs=0.11)


def test_a_value_beneath_what_is_pinned_at_the_foot_is_not_typed(opened: State) -> None:
    changed = update(opened, Set("brightness", 0.5))
    parts, found = seen(changed)
    pinned = parts.drawer.bottom - foot_h(found)
    place = slider(changed, "exposure")[0].place
    assert pinned < parts.drawer.bottom
    for y, typed in ((pinned - 12, "exposure"), (pinned + 4, None)):
        there = replace(changed, scroll=float(place.y + 8 - y + parts.drawer.y))
        pressed_ = press(there, parts.drawer.x + place.right - 12, y)
        assert (pressed_.number.control if pressed_.number else None) == typed


def test_the_divider_is_taken_near_its_line_only_while_comparing(opened: State) -> None:
    compared = replace(opened, compare=True, divider=0.5)
    parts, _ = seen(compared)
    middle = parts.picture.w // 2
    assert near_divider(compared, parts, middle + 9, 100)
    assert not near_divider(compared, parts, middle + 40, 100)
    assert not near_divider(opened, parts, middle, 100)
    dragged = drag(press(compared, middle, 100), parts.picture.w // 4, 100)
    assert dragged.divider == pytest.approx(0.25, abs=0.01)


def test_a_press_on_the_house_opens_the_run_then_its_nearest_pixel_or_nothing(
    opened: State,
) -> None:
    once = press(opened, 106, 204)
    assert (once.touch.card, once.touch.pixel, once.selection) == (RUN, 1, None)
    assert press(once, 106, 204).selection == 1
    beside = press(press(once, 106, 204), 300, 300)
    assert (beside.touch.card, beside.selection) == (None, None)


def test_the_scroll_bar_and_the_wheel_stay_within_the_content(opened: State) -> None:
    parts, found = seen(opened)
    limit = content_height(found, parts) - parts.drawer.h
    assert limit > 0
    x, y = parts.drawer.x + 40, 200
    state = opened
    for _ in range(200):
        for action in turned(state, parts, found, x, y, -1):
            state = update(state, action)
    assert state.scroll == pytest.approx(limit)
    bar = press(opened, parts.drawer.right - 5, 100)
    assert bar.drag == "scroll"
    assert drag(bar, parts.drawer.right - 5, 0, dy=4000).scroll == pytest.approx(limit)
    assert drag(bar, parts.drawer.right - 5, 0, dy=-4000).scroll == 0.0


def test_a_press_closes_the_help_and_does_nothing_else(opened: State) -> None:
    helped = replace(opened, help=True)
    assert press(helped, 106, 204) == opened
