"""The drawer's table of controls and where its rows stand."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from sim.app.state import actions as act
from sim.app.state.controls import Control, control, controls
from sim.app.state.drawer import content_height, rows, scroll_to
from sim.app.state.layer_settings import knee_of
from sim.app.state.record import SCALES, Facts, ParameterFacts, State
from sim.app.state.update import update
from sim.app.state.window_layout import layout


def test_a_slider_carries_unit_and_range_of_the_parameter_table(state: State) -> None:
    speed = control(state, "0.speed")
    assert speed is not None
    assert (speed.form, speed.low, speed.high, speed.unit) == ("slider", 0.0, 4.0, "m/s")
    assert speed.text == "0.50 m/s"


def test_the_ceiling_is_a_mark_on_the_brightness(state: State) -> None:
    assert control(state, "brightness").mark is None
    assert control(update(state, act.CeilingMeasured(0.62)), "brightness").mark == 0.62


def test_a_share_of_white_in_the_file_stays_a_choice(state: State, facts: Facts) -> None:
    read = update(state, act.Loaded(replace(facts, white=0.35)))
    assert control(read, "white").value == "35 %"
    back = update(update(read, act.Set("white", "off")), act.Set("white", "35 %"))
    assert back.white is None


def test_steps_stay_on_round_numbers() -> None:
    slider = Control("a", "A", "slider", 0.3, 0.0, 1.0, 0.1)
    assert slider.stepped(1) == 0.4
    assert slider.stepped(-7) == 0.0
    assert replace(slider, value=0.1).stepped(2) == 0.3


WIDE = Control("band", "Band", "slider", 0.3, 0.02, 100.0, 1.0, knee=0.5, unit="m")


@pytest.mark.parametrize("value", [0.02, 0.3, 1.0, 4.7, 33.0, 100.0])
def test_a_wide_slider_is_fine_where_values_are_usual(value: float) -> None:
    placed = replace(WIDE, value=value)
    assert placed.at(placed.share) == pytest.approx(value)
    assert placed.text == f"{value:g} m" or float(placed.text.split()[0]) == value


def test_a_wide_slider_reaches_both_ends_and_moves_on_every_step() -> None:
    assert (WIDE.at(0.0), WIDE.at(1.0)) == (0.02, 100.0)
    value, seen = 0.02, []
    while value < 100.0 and len(seen) < 300:
        value = float(replace(WIDE, value=value).stepped(1))
        seen.append(value)
    assert seen == sorted(set(seen))
    assert 60 <= len(seen) <= 140


def test_a_signed_slider_has_its_zero() -> None:
    speed = Control("speed", "Speed", "slider", 0.0, -10.0, 10.0, 0.2, knee=0.25, unit="m/s")
    assert speed.share == 0.5
    assert speed.at(0.5) == 0.0
    assert float(speed.stepped(-1)) < 0 < float(speed.stepped(1))


def test_only_quantities_that_reach_far_beyond_the_usual_are_warped() -> None:
    band = ParameterFacts("band", 0.3, "m", 0.02, 100.0, usual=1.0)
    assert knee_of(band) == 0.5
    assert knee_of(replace(band, high=6.0)) == 0.0
    assert knee_of(replace(band, unit="deg")) == 0.0
    assert knee_of(replace(band, whole=True)) == 0.0


@pytest.mark.parametrize("scale", SCALES)
def test_rows_do_not_overlap_and_targets_lie_inside(state: State, scale: float) -> None:
    opened = replace(state, drawer=True, drawer_open=1.0, scale=scale, compare=True)
    parts = layout(opened)
    found = rows(parts, controls(opened), "Shed", 3, 60)
    lines = [row for row in found if not (row.control and row.control.beside)]
    for above, below in pairwise(lines):
        assert above.place.bottom <= below.place.y
    for row in found:
        assert row.place.x <= row.target.x
        assert row.target.right <= row.place.right
        assert row.place.right <= parts.drawer.w
    assert content_height(found, parts) >= found[-1].place.bottom


def test_every_control_has_a_row(state: State) -> None:
    made = controls(state)
    found = rows(layout(state), made, "Shed", 2, 60)
    assert [row.control for row in found if row.control] == list(made)
    assert [row.supply for row in found if row.form == "supply"] == [0, 1]


def test_the_scroll_follows_the_keys_no_further_than_needed(state: State) -> None:
    found = rows(layout(state), controls(state), "Shed", 2, 60)
    first, last = found[0], found[-1]
    assert scroll_to(first.place.y, first.place.bottom, 0, 300) == 0
    assert scroll_to(last.place.y, last.place.bottom, 0, 300) == last.place.bottom - 300
    assert scroll_to(first.place.y, first.place.bottom, 500, 300) == first.place.y
