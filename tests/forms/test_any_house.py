"""Whatever measures are taken: a house that holds, or a refusal that says what to do."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from layouts import InputError, Problem, house_from
from layouts.eaves import LOOSE
from layouts.forms import FORMS, FormMeasures, house_of_form
from layouts.forms.usual import RANGES, TURNED
from layouts.polygon import inside
from sim.report.check import check_report

sides = st.sampled_from(["none", "left", "right"])


def within(key: str, most: float | None = None) -> st.SearchStrategy[float]:
    return st.floats(RANGES[key][0], most or RANGES[key][1])


@st.composite
def asked(draw: st.DrawFn) -> dict[str, Any]:
    """Numbers each of which could be a house's, together or not."""
    form = draw(st.sampled_from(sorted(FORMS)))
    made: dict[str, Any] = {
        "form": form,
        "width": draw(within("width", 26)),
        "storeys": draw(st.integers(1, 3)),
        "garage": draw(sides),
        "chimney": draw(sides),
        "porch": draw(st.none() | within("porch", 12)),
        "porch_depth": draw(within("porch_depth")),
        "dormers": draw(st.sampled_from([0, 0, 0, 1, 2, 4])),
        "overhang": draw(within("overhang")),
        "eave": draw(st.none() | within("eave", 9)),
        "depth": draw(st.none() | within("depth", 18)),
        "garage_width": draw(st.none() | within("garage_width", 9)),
        "pitch": 0.0 if form == "flat" else draw(st.none() | st.floats(0.1, 1.6)),
        "wall": draw(st.sampled_from([None, "brick-red", "render-cream"])),
        "units": draw(st.sampled_from(["m", "cm", "ft", "in"])),
    }
    if form in TURNED:
        made["facing"] = draw(st.sampled_from(["eave", "gable"]))
    return made


@settings(deadline=None, max_examples=50)
@given(asked())
def test_any_measures_make_a_house_or_say_why_not(given_measures: dict[str, Any]) -> None:
    refused: tuple[Problem, ...] = ()
    try:
        measures = FormMeasures(**given_measures)
    except InputError as error:
        refused = error.problems
    assert all(each.what and each.do for each in refused)
    assume(not refused)
    house = house_from(house_of_form(measures))
    found = check_report(house, []).all
    assert {each.code for each in found} <= {"no-supplies"}, found
    wall = next(s.outline_m for s in house.drawing.surfaces if s.name == "wall")
    for surface in house.drawing.surfaces:
        if surface.name.startswith(("window", "clerestory", "attic")):
            assert inside(wall, surface.outline_m).all(), surface.name
    reach = house.drawing.size_m
    for each in house.drawing.surfaces:
        if each.material.texture not in LOOSE:  # a garden goes on beyond the drawing
            assert each.outline_m[:, 0].min() > 0
            assert (each.outline_m.max(axis=0) < reach).all(), each.name


@pytest.mark.parametrize("key", sorted(RANGES))
def test_what_is_beyond_a_house_is_refused(key: str) -> None:
    usual: dict[str, Any] = {"form": "gable", "width": 10.0, "garage": "right", "porch": 3.0}
    for wrong in (RANGES[key][0] * 0.99, RANGES[key][1] * 1.01, float("nan"), float("inf"), -1.0):
        with pytest.raises(InputError) as caught:
            FormMeasures(**{**usual, key: wrong})
        assert key.replace("_", "-") in {each.file for each in caught.value.problems}
