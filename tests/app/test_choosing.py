"""Choosing by looking, and values typed with a unit: what keys and pointer do to the state."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from effects import bind, effects, palettes
from effects.load import scheme_from_text
from layouts import load_house
from sim.app.state import actions as act
from sim.app.state.choosing import tried
from sim.app.state.choosing_actions import (
    ClosePage,
    OpenPage,
    PointAtPart,
    PressPart,
    ScrollPage,
    StepParts,
    TypeOnPage,
)
from sim.app.state.choosing_keys import action_of_key
from sim.app.state.choosing_pages import columns_for, on_page, on_screen_of, part_of, sheet
from sim.app.state.choosing_update import action_of_part
from sim.app.state.controls import any_control
from sim.app.state.keys import Press
from sim.app.state.number_actions import BeginNumber, TakeNumber, TypeNumber, UsualValue
from sim.app.state.record import State
from sim.app.state.update import update
from sim.app.state.window_layout import Rect, layout
from sim.app.work.file_facts import edited, facts_of

TEXT = """\
# Invented for a test.
format: evenfall-scheme/1
name: Winter
layers:
  - {zones: [both], effect: chase, palette: ["#ff2010", "#ffffff"], set: {speed: 0.5}}
  - {zones: [door], effect: steady, palette: hollybush, opacity: 0.5}
"""


@pytest.fixture
def read(house_file: Path) -> State:
    """A window of 1280 x 720 that has read a house and a scheme of two layers."""
    house = load_house(house_file)
    path = house_file.parent / "winter.scheme.yaml"
    scheme = scheme_from_text(TEXT, str(path), house)
    loaded = act.Loaded(facts_of(house, scheme, bind(house, scheme)))
    return replace(update(State(str(house_file)), loaded), playing=False, drawer_open=1.0)


def after(state: State, *actions: act.Action) -> State:
    for action in actions:
        state = update(state, action)
    return state


def keys(state: State, *names: str) -> State:
    for name in names:
        action = action_of_key(state, Press(name), name if len(name) == 1 else "")
        assert action is not None, name
        state = update(state, action)
    return state


def test_a_palette_is_tried_while_it_is_pointed_at(read: State) -> None:
    page = after(read, OpenPage("palettes", 1), PointAtPart("gilded"))
    assert page.value(1, "palette") == "hollybush"  # nothing is taken yet
    assert tried(page).value(1, "palette") == "gilded"
    assert not page.changed
    assert tried(after(page, PointAtPart(None))).value(1, "palette") == "hollybush"
    left = after(page, act.Back())
    assert left.choosing is None
    assert tried(left) is left
    assert not left.history.done


def test_taken_it_is_a_step_like_any_other(read: State) -> None:
    taken = after(read, OpenPage("palettes", 1), PointAtPart("gilded"), PressPart())
    assert taken.value(1, "palette") == "gilded"
    assert taken.choosing is None
    assert len(taken.history.done) == 1
    assert after(taken, act.Undo()).value(1, "palette") == "hollybush"


def test_keys_alone_find_try_and_take_a_palette(read: State) -> None:
    page = keys(after(read, OpenPage("palettes", 1)), *"hanukk")
    names = [part.key for part in sheet(page, layout(page)).parts]
    assert names == [name for name, one in palettes().items() if "anukk" in one.occasion]
    assert tried(page).value(1, "palette") == names[0]
    page = keys(page, "down") if len(names) > 1 else page
    taken = keys(page, "return")
    assert taken.value(1, "palette") == names[min(1, len(names) - 1)]


def test_letters_go_to_the_search_and_erase_again(read: State) -> None:
    page = keys(after(read, OpenPage("effects", 0)), "s", "d", "backspace")
    assert page.choosing.typed == "s"
    nothing = after(page, TypeOnPage("zzz"))
    assert [part.form for part in sheet(nothing, layout(nothing)).parts] == ["note"]
    assert after(nothing, PressPart()) == nothing


def test_an_effect_is_tried_with_what_it_knows(read: State) -> None:
    page = after(read, OpenPage("effects", 0), PointAtPart("picket"))
    shown = tried(page)
    assert shown.facts.layers[0].effect == "picket"
    assert page.facts.layers[0].effect == "chase"
    known = {one.name for one in effects()["picket"].parameters}
    assert {one.name for one in shown.facts.layers[0].parameters} >= known


def test_esc_leads_back_page_by_page(read: State) -> None:
    page = after(read, OpenPage("layers", 1), OpenPage("palettes", 1))
    back = keys(page, "escape")
    assert (back.choosing.page, back.choosing.layer) == ("layers", 1)
    shut = keys(back, "escape")
    assert shut.choosing is None
    assert not shut.drawer  # as it was before


def test_the_list_keeps_the_layer_that_is_moved_unfolded(read: State) -> None:
    page = after(read, OpenPage("layers", 0), PressPart("later 0"))
    assert [layer.effect for layer in page.facts.layers] == ["steady", "chase"]
    assert page.choosing.layer == 1
    page = after(page, PressPart("copy"), PressPart("remove"), PressPart("add"))
    assert [layer.effect for layer in page.facts.layers] == ["steady", "chase", "steady"]
    assert page.choosing.layer == 2


def test_a_value_goes_sideways_and_zones_come_and_go(read: State) -> None:
    page = after(read, OpenPage("layers", 0), PointAtPart("blend"), StepParts(across=1))
    assert page.value(0, "blend") == "lighten"
    zones = after(page, OpenPage("zones", 0), PressPart("eave"))
    assert zones.value(0, "zones") == "both, eave"
    zones = after(zones, PressPart("eave turned"), PressPart("both"))
    assert zones.value(0, "zones") == "eave backward"
    assert after(zones, PressPart("eave")).value(0, "zones") == "eave backward"  # one stays
    assert zones.facts.layers[0].zones == ("eave backward",)


def test_every_part_is_large_enough_and_on_its_page(read: State) -> None:
    """WCAG 2.2, success criterion 2.5.8 (Target Size, Minimum): 24 by 24 CSS pixels."""
    for page in ("schemes", "layers", "palettes", "effects", "zones"):
        state = after(read, OpenPage(page, 0))
        found = sheet(state, layout(state))
        for part in found.parts:
            assert part.form == "note" or min(part.place.w, part.place.h) >= 24, part
            assert part.place.x >= 0, part
            assert part.place.right <= found.body.w, part


def test_what_is_stepped_to_comes_into_sight(read: State) -> None:
    page = after(read, OpenPage("palettes", 1), *[StepParts(down=1)] * 40)
    found = sheet(page, layout(page))
    part = next(one for one in found.parts if one.key == page.choosing.at)
    assert page.choosing.scroll <= part.place.y
    assert part.place.bottom <= page.choosing.scroll + found.body.h
    x, y = found.body.x + part.place.x + 30, found.body.y + part.place.y - page.choosing.scroll + 5
    assert on_page(found, page, 1.0, x, y).key == part.key
    assert after(page, ScrollPage(-1e6)).choosing.scroll == 0


@pytest.mark.parametrize("count", [1, 2, 3, 6, 8, 12, 40])
@pytest.mark.parametrize("size", [(1280, 494), (1920, 840), (640, 300)])
def test_pictures_of_schemes_fill_the_page(count: int, size: tuple[int, int]) -> None:
    body = Rect(0, 76, *size)
    columns, w = columns_for(count, body, round)
    assert columns * w + (columns - 1) * 24 <= body.w - 96
    assert w >= 80
    rows = -(-count // columns)
    if w >= 200 and count <= 12 and size[0] >= 1280:
        assert rows * (w * 9 // 16 + 48) <= body.h or w >= 240


@pytest.mark.parametrize("count", [1, 6, 40])
def test_twice_as_large_type_leaves_a_picture_and_its_name_in_sight(count: int) -> None:
    """A window of 1280×720 at 200 %: its page is 256 px high."""
    _, w = columns_for(count, Rect(0, 152, 1280, 256), lambda size: round(2 * size))
    assert w >= 160
    assert w * 9 // 16 + 2 * 48 <= 256


def test_a_scheme_is_opened_by_arrows_and_enter(read: State) -> None:
    page = keys(after(read, OpenPage("schemes")), "right", "left")
    assert page.choosing.at is not None
    path = page.choosing.at
    opened = keys(page, "return")
    assert opened.scheme_path == path
    assert opened.choosing is None


def test_a_house_without_a_scheme_says_so(read: State) -> None:
    bare = after(read, act.Loaded(replace(read.facts, schemes=(), layers=())))
    page = after(bare, OpenPage("schemes"))
    (note,) = sheet(page, layout(page)).parts
    assert "no scheme" in note.text
    assert after(bare, OpenPage("layers")).choosing is None


def test_the_page_goes_with_its_layer(read: State) -> None:
    page = after(read, OpenPage("palettes", 1))
    fewer = after(page, act.Loaded(replace(read.facts, layers=read.facts.layers[:1])))
    assert fewer.choosing.layer == 0
    assert after(page, ClosePage()).choosing is None


def test_the_house_shows_what_is_tried(read: State, house_file: Path) -> None:
    house = load_house(house_file)
    scheme = scheme_from_text(TEXT, read.facts.scheme_file, house)
    page = after(read, OpenPage("palettes", 0), PointAtPart("gilded"))
    assert edited(scheme, tried(page)).layers[0].palette == "gilded"
    assert edited(scheme, page).layers[0].palette == ("#ff2010", "#ffffff")


# --- numbers ---


# Lengths: 1 ft = 0.3048 m and 1 in = 0.0254 m exactly (NIST SP 811, appendix B.8).
@pytest.mark.parametrize(
    ("control", "typed", "value"),
    [
        ("0.speed", "0.4 m/s", 0.4),
        ("0.speed", "0.4", 0.4),
        ("0.speed", "2 ft/s", 0.6096),
        ("0.band", "2 ft", 0.6096),
        ("0.band", "30 cm", 0.3),
        ("1.opacity", "40 %", 0.4),
        ("1.opacity", "40", 0.4),
        ("brightness", "55%", 0.55),
        ("exposure", "1.5 EV", 1.5),
        ("1.from", "2.5", 2.5),
        ("1.until", "500 ms", 0.5),
        ("1.from", "always", ""),
    ],
)
def test_a_value_is_typed_with_its_unit(
    read: State, control: str, typed: str, value: object
) -> None:
    state = after(read, BeginNumber(control), *map(TypeNumber, typed), TakeNumber())
    assert state.number is None
    held = any_control(state, control).value
    assert held == (pytest.approx(value) if isinstance(value, float) else value)
    if control != "exposure":  # a way of looking, and no step
        back = after(state, act.Undo())
        assert any_control(back, control).value == any_control(read, control).value


@pytest.mark.parametrize(
    ("control", "typed", "told"),
    [
        ("1.opacity", "140 %", "between 0 % and 100 %"),
        ("0.speed", "quick", "a number such as 0.5 m/s"),
        ("0.speed", "3 m", "a number such as 0.5 m/s"),
        ("0.speed", "nan", "a number such as 0.5 m/s"),
        ("brightness", "-1", "between 0 % and 100 %"),
    ],
)
def test_what_cannot_be_is_told_and_nothing_is_taken(
    read: State, control: str, typed: str, told: str
) -> None:
    state = after(read, BeginNumber(control), *map(TypeNumber, typed), TakeNumber())
    assert state.number.wrong == told
    assert not state.changed
    assert after(state, TypeNumber("")).number.wrong == ""
    assert after(state, TakeNumber(or_leave=True)).number is None


def test_esc_leaves_a_number_and_keys_type_it(read: State) -> None:
    begun = keys(replace(read, drawer=True, focus="brightness"), "return", "3", "5")
    assert begun.number.text == "35"
    assert keys(begun, "escape").brightness is None
    taken = keys(begun, "return")
    assert taken.brightness == 0.35
    assert [step.label for step in taken.history.done] == ["brightness 35 %"]


def test_the_usual_value_comes_back(read: State) -> None:
    usual = effects()["chase"].parameter("speed").default
    moved = after(read, act.Set("0.speed", usual + 1))
    assert after(moved, UsualValue("0.speed")).value(0, "speed") == usual
    assert after(read, UsualValue("1.opacity")).value(1, "opacity") == 1.0


@pytest.mark.parametrize(("size", "scale"), [((960, 600), 1.0), ((960, 600), 2.0),
                                             ((1280, 720), 2.0), ((1920, 1080), 1.0)])  # fmt: skip
def test_writing_stays_in_sight_on_the_page_of_layers(
    read: State, size: tuple[int, int], scale: float
) -> None:
    read = replace(read, size_px=size, scale=scale, drawer=True, drawer_open=1.0)
    page = after(read, OpenPage("layers", 0), act.Set("brightness", 0.3))
    for state in (page, after(page, *[ScrollPage(100.0)] * 40)):
        found = sheet(state, layout(state))
        place = on_screen_of(found, state, part_of(found, "write"))
        assert found.body.bottom <= place.y
        assert place.bottom <= layout(state).drawer.bottom
        middle = (place.x + place.w // 2, place.y + place.h // 2)
        assert on_page(found, state, scale, *middle).key == "write"
        rows = range(found.body.y, found.body.bottom, 9)
        scrolled = [on_page(found, state, scale, middle[0], y) for y in rows]
        assert all(part.key != "write" for part in scrolled if part is not None)
    keyed = after(page, *[StepParts(down=1)] * 40)
    assert keyed.choosing.at == "write"
    assert isinstance(action_of_part(keyed, "write"), act.WriteValues)


def test_another_effect_of_a_layer_is_a_step_with_what_it_knew(read: State) -> None:
    quick = after(read, act.Set("0.speed", 1.5))
    other = after(quick, act.Set("0.effect", "picket"))
    assert other.facts.layers[0].effect == "picket"
    back = after(other, act.Undo())
    assert (back.facts.layers[0].effect, back.value(0, "speed")) == ("chase", 1.5)
    assert after(back, act.Redo()).facts.layers[0].effect == "picket"
