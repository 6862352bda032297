"""Measuring a house in the window: what is typed, stepped and chosen makes the house on show."""

from __future__ import annotations

from dataclasses import fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts import house_from
from layouts.forms import FORMS, FormMeasures
from sim.app.state.forming import (
    FIELD,
    FIELDS,
    begun,
    formed_house,
    shown_fields,
    stepped,
    text_of,
    typed,
)


def test_every_field_is_a_measure_and_every_measure_has_one() -> None:
    assert {each.key for each in FIELDS} == {each.name for each in fields(FormMeasures)} - {
        "profile",  # follows from the kind
        "units",  # asked once, before
    }
    assert len(FIELD) == len(FIELDS)


def test_the_house_changes_as_numbers_change() -> None:
    forming = begun("ft")
    assert formed_house(forming)["units"] == "ft"
    wider = typed(forming, "width", "40 ft")
    assert wider.measures.width == pytest.approx(12.192)
    assert typed(wider, "width", "40").measures == wider.measures  # a bare number is in feet
    assert typed(wider, "pitch", "6/12").measures.pitch == 0.5


def test_what_is_wrong_stands_beside_its_field_and_the_last_house_stays() -> None:
    forming = typed(begun(), "porch", "3 m")
    wrong = typed(forming, "porch", "30 m")
    assert not wrong.complete
    assert [key for key, _ in wrong.wrong] == ["porch"]
    assert "wider than the wall" in wrong.wrong[0][1]
    assert wrong.measures == forming.measures
    assert text_of(wrong, "porch") == "30 m"
    assert typed(wrong, "porch", "3 m") == forming
    two = typed(typed(forming, "width", "wide"), "overhang", "far")
    assert {key for key, _ in two.wrong} == {"width", "overhang"}
    assert not any("--" in told for _, told in two.wrong)
    kept = typed(typed(forming, "porch_depth", "2 m"), "porch", "none")
    assert kept.complete
    assert typed(kept, "porch", "3 m").measures.porch_depth == 2.0  # what was typed is not lost


def test_fields_are_asked_where_they_mean_something() -> None:
    keys = {each.key for each in shown_fields(begun())}
    assert "facing" in keys
    assert not keys & {"garage_width", "porch_depth", "dormers"}
    turned = typed(typed(begun(), "facing", "eave"), "garage", "left")
    assert {"dormers", "garage_width"} <= {each.key for each in shown_fields(turned)}
    flat = typed(typed(turned, "pitch", "6/12"), "form", "flat")
    assert flat.complete  # what a flat roof has not is left out with it
    assert not {each.key for each in shown_fields(flat)} & {"pitch", "facing", "dormers"}


def test_steps() -> None:
    forming = begun()
    assert stepped(forming, "width", 3).measures.width == pytest.approx(9.3)
    assert stepped(begun("ft"), "width", 1).measures.width == pytest.approx(30.5 * 0.3048)
    assert stepped(forming, "form", -1).measures.form == list(FORMS)[-1]
    assert stepped(forming, "storeys", 1).measures.storeys == 2
    assert stepped(forming, "pitch", 1).measures.pitch == pytest.approx(8.5 / 12)
    porch = stepped(forming, "porch", 1)
    assert porch.measures.porch == 1.5  # the shortest there is
    assert not stepped(porch, "porch", -1).measures.porch
    assert stepped(forming, "lit", 1).lit is False
    assert stepped(forming, "name", 1) == forming


@given(
    st.lists(st.tuples(st.sampled_from([f.key for f in FIELDS]), st.integers(-9, 9)), max_size=8)
)
def test_whatever_is_stepped_there_is_a_house(moves: list[tuple[str, int]]) -> None:
    forming = begun()
    for key, steps in moves:
        forming = stepped(forming, key, steps)
    assert all(key in FIELD and "; " in told for key, told in forming.wrong)
    house_from(formed_house(forming))
    for each in shown_fields(forming):
        if each.key != "lit" and forming.complete and text_of(forming, each.key) != each.none:
            # what stands in a field, typed again, is what it was
            again = typed(forming, each.key, text_of(forming, each.key))
            assert again.complete, (each.key, again.wrong)


@given(st.sampled_from([f.key for f in FIELDS]), st.text(max_size=12))
def test_nothing_that_is_typed_breaks_it(key: str, text: str) -> None:
    forming = typed(begun(), key, text)
    house_from(formed_house(forming))
    text_of(forming, key)
