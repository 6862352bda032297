"""The dialogue of measurements without a display: keys, typing, units, back and on."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts import house_from
from sim.app.state import measuring as ms
from sim.app.state.forming import FIELD, FIELDS, formed_house
from sim.app.state.measuring import Measuring
from sim.app.state.measuring_keys import Wish, accept, leave, pressed_button, pressed_key
from sim.app.state.window_layout import Rect

FOOT = 0.3048  # exactly [international foot, 1959]


def keys(state: Measuring, *names: str) -> tuple[Measuring, Wish | None]:
    """After keys by their SDL names; a name of one letter is typed too."""
    wish = None
    for name in names:
        text = " " if name == "space" else name if len(name) == 1 else ""
        state, wish = pressed_key(state, name, text=text)
    return state, wish


def words(state: Measuring, text: str) -> Measuring:
    return keys(state, *("space" if letter == " " else letter for letter in text))[0]


def at(state: Measuring, key: str) -> Measuring:
    """The keys brought to a field by Tab alone."""
    for _ in range(len(ms.order(state)) + 1):
        if state.focus == key:
            return state
        state, _ = pressed_key(state, "tab")
    raise AssertionError(f"Tab does not come to {key}")


def test_tab_comes_to_all_that_can_be_changed_and_pressed() -> None:
    state = ms.begun()
    met = []
    for _ in ms.order(state):
        met.append(state.focus)
        state, _ = pressed_key(state, "tab")
    assert state.focus == met[0]
    assert sorted(met) == sorted(ms.order(state))
    back, _ = pressed_key(state, "tab", shift=True)
    assert back.focus == met[-1]


def test_every_field_of_a_house_stands_in_a_row() -> None:
    state = ms.begun("m", "", {"garage": "left", "porch": "3 m", "facing": "eave"})
    assert {key for row in ms.rows(state) for key in row} == set(FIELD)


@pytest.mark.parametrize(
    ("key", "typed", "value"),
    [
        # 12 ft 6 in is 12.5 ft; a pitch of 6 in 12 rises one half
        ("width", "32' 6\"", 32.5 * FOOT),
        ("eave", "9 ft", 9 * FOOT),
        ("eave", "9", 9 * FOOT),
        ("eave", "2.9 m", 2.9),
        ("pitch", "6/12", 0.5),
        ("pitch", "45°", 1.0),
        ("storeys", "2", 2),
    ],
)
def test_a_measure_is_typed_with_its_unit(key: str, typed: str, value: float) -> None:
    state = words(at(ms.begun("ft"), key), typed)
    assert state.typed == typed
    assert getattr(state.forming.measures, key) != value  # not before Enter
    taken, wish = keys(state, "return")
    assert wish is None
    assert taken.forming.complete
    assert getattr(taken.forming.measures, key) == pytest.approx(value)
    assert len(taken.past) == 1


def test_esc_drops_what_is_typed_and_the_first_letter_takes_the_place_of_the_whole() -> None:
    state = ms.typing(ms.begun(), "width")
    assert (state.typed, state.fresh) == ("9 m", True)
    assert words(state, "8").typed == "8"
    assert ms.letter(ms.typing(state, "width"), "m").typed == "9 mm"  # a second click: at its end
    dropped, wish = keys(words(state, "8"), "escape")
    assert (dropped.typed, wish, dropped.past) == (None, None, ())
    assert ms.rubbed(state).typed == ""


def test_an_empty_field_follows_by_rule_again_and_a_width_stays() -> None:
    state, _ = keys(words(at(ms.begun(), "eave"), "3 m"), "return")
    assert state.forming.measures.eave == 3.0
    emptied, _ = keys(ms.rubbed(ms.typing(state, "eave")), "return")
    assert emptied.forming == ms.begun().forming
    width, _ = keys(ms.rubbed(ms.typing(state, "width")), "return")
    assert width.forming == state.forming


def test_what_is_wrong_stands_with_its_field_and_the_last_good_house_stays() -> None:
    good = ms.begun("ft")
    state, _ = keys(words(at(good, "width"), "wide"), "return")
    assert "not a length" in ms.wrong_with(state, "width")
    assert state.forming.measures == good.forming.measures
    told, wish = accept(at(state, "chimney"))
    assert wish is None
    assert told.focus == "width"
    assert told.told.startswith("Not yet")
    mended, _ = keys(words(told, "32 ft"), "return")
    assert mended.forming.complete


def test_arrows_step_and_a_key_held_down_is_one_step_back() -> None:
    state = at(ms.begun(), "width")
    for _ in range(5):
        state, _ = pressed_key(state, "up")
    assert state.forming.measures.width == pytest.approx(9.5)
    assert len(state.past) == 1
    state, _ = pressed_key(ms.let_go(state), "down")
    assert len(state.past) == 2
    state, _ = pressed_key(state, "z", ctrl=True)
    assert state.forming.measures.width == pytest.approx(9.5)
    state, _ = pressed_key(state, "z", ctrl=True)
    assert state.forming == ms.begun().forming
    state, _ = pressed_key(state, "y", ctrl=True)
    state, _ = pressed_key(state, "z", ctrl=True, shift=True)
    assert state.forming.measures.width == pytest.approx(9.4)


def test_stepping_a_number_without_a_unit_starts_from_that_number() -> None:
    state, _ = keys(words(at(ms.begun("ft"), "width"), "40"), "return")
    assert ms.stepped(state, "width", 1).forming.measures.width == pytest.approx(40.5 * FOOT)


def test_units_convert_what_is_shown_and_change_no_house() -> None:
    state, _ = keys(words(at(ms.begun("ft"), "width"), "40"), "return")
    metric, _ = pressed_button(state, "units")
    assert metric.forming.units == "m"
    assert metric.forming.measures.width == pytest.approx(40 * FOOT)
    assert ms.shown_text(metric, "width") == "12.192 m"  # 40 × 0.3048 m
    assert ms.shown_text(metric, "overhang") == "0.45 m"
    feet, _ = pressed_button(metric, "units")
    assert feet.forming.measures == state.forming.measures
    assert ms.shown_text(feet, "width") == "40 ft"
    for _ in range(6):
        feet, _ = pressed_button(feet, "units")
    assert feet.forming.measures == state.forming.measures
    assert formed_house(metric.forming)["units"] == "m"


def test_wrong_numbers_outlive_the_switch_of_units() -> None:
    state, _ = keys(words(at(ms.begun("ft"), "eave"), "far"), "return")
    metric, _ = pressed_button(state, "units")
    assert ms.wrong_with(metric, "eave")
    assert ms.shown_text(metric, "eave") == "far"


def test_leaving_asks_once_something_was_measured() -> None:
    assert leave(ms.begun())[1] == "leave"
    changed = ms.stepped(ms.begun(), "width", 1)
    asked, wish = keys(changed, "escape")
    assert (asked.leaving, wish) == (True, None)
    assert keys(asked, "escape")[0].leaving is False
    assert keys(asked, "return")[1] == "leave"


def test_enter_writes_where_nothing_is_typed() -> None:
    assert keys(ms.begun(), "return")[1] == "accept"
    assert keys(at(ms.begun(), "leave"), "return")[1] == "leave"
    assert keys(at(ms.begun(), "sight"), "return")[0].sight == "bright"


def test_flags_are_starting_values_and_wrong_ones_are_told() -> None:
    state = ms.begun("ft", "mine", {"form": "hip", "width": "40 ft", "porch": "99 ft"}, lit=False)
    assert state.forming.measures.form == "hip"
    assert not state.forming.lit
    assert "wide" in ms.wrong_with(state, "porch")
    assert state.past == ()


@pytest.mark.parametrize("size", [(1280, 720), (1920, 1080), (3840, 2160)])
@pytest.mark.parametrize("scale", [1.0, 1.5, 2.0])
def test_the_house_and_the_panel_share_the_window(size: tuple[int, int], scale: float) -> None:
    state = ms.Measuring(ms.begun().forming, size_px=size, scale=scale)
    house, panel = ms.picture(state), ms.panel(state)
    assert not house.meets(panel)
    assert panel.right == size[0]
    assert house.w >= 0.3 * size[0]
    assert Rect(0, 0, *size).holds(house.right - 1, house.bottom - 1)


NAMES = [*"0123456789./'\"mft z", "tab", "return", "escape", "backspace", "up", "down", "left",
         "right", "space", "page up", "f2", "delete"]  # fmt: skip


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.sampled_from(NAMES), st.booleans()), max_size=50))
def test_any_keys_leave_a_house_and_a_way_back(pressed: list[tuple[str, bool]]) -> None:
    state = ms.begun()
    for name, ctrl in pressed:
        text = " " if name == "space" else name if len(name) == 1 else ""
        state, _ = pressed_key(state, name, ctrl=ctrl, text="" if ctrl else text)
        assert state.focus in ms.order(state)
        for field in FIELDS:
            ms.shown_text(state, field.key)
    house_from(formed_house(state.forming))
    end = state = ms.dropped(state)
    steps = len(state.past)
    for _ in range(steps):
        state = ms.undone(state)
    assert state.forming == ms.begun().forming
    for _ in range(steps):
        state = ms.redone(state)
    assert state.forming == end.forming
