"""Lengths in sentences, in the units in which the house is measured; numbers by hand."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

import layouts
from layouts import house_from
from sim.report.compare_text import _current_rows, same_for_all
from sim.report.flash import _where
from sim.report.lengths import about_text
from sim.report.other_kind import of_kind
from sim.report.plan_text import _price
from sim.report.wording.plan import why_sentence


@pytest.mark.parametrize(
    ("length_m", "units", "told"),
    [
        (3.048, "m", "3.0 m"),
        (3.048, "cm", "300 cm"),
        (3.048, "ft", "10 ft"),
        (5.70, "ft", "18 ft 8 in"),  # 5.70 m / 0.0254 m = 224.4 in
        (-0.31, "in", "-12 in"),
    ],
)
def test_a_length_that_is_only_seen(length_m: float, units: str, told: str) -> None:
    assert about_text(length_m, units) == told


def test_a_comparison_tells_metres_and_feet_by_the_house() -> None:
    kinds = [SimpleNamespace(pixels=170, metres=7.0), SimpleNamespace(pixels=320, metres=7.0)]
    for units, told in (("m", "7.0 m"), ("ft", "23 ft")):  # 7 m are 275.6 in, 22 ft 11.6 in
        house = SimpleNamespace(runs=[SimpleNamespace(length_m=7.0)], units=units, supplies=[])
        found = SimpleNamespace(kinds=kinds, house=house)
        assert same_for_all(found) == told


def test_its_row_of_pixels_too(monkeypatch) -> None:
    monkeypatch.setattr("sim.report.compare_text._levels", lambda found: ("", {}))
    house = SimpleNamespace(units="ft", supplies=[])
    rows = dict(_current_rows(SimpleNamespace(house=house, prices=None)))
    assert rows["pixels"](SimpleNamespace(pixels=170, metres=7.0)) == "170, 23 ft"


def test_flashing_on_a_wall_far_from_every_run() -> None:
    house = SimpleNamespace(runs=[], units="ft")
    cells = SimpleNamespace(xy_m=np.array([[3.048, 1.524]]))
    assert _where(house, cells, np.array([0])) == "wall at x 10 ft, y 5 ft"


def test_pixels_on_the_same_feet() -> None:
    house = house_from({
        "format": "evenfall-house/1", "name": "Hut", "units": "ft",
        "drawing": {"size": [30, 15], "surfaces": []},
        "runs": [{"name": "eave", "pixels": "ws2813", "path": [[1, 9], [11, 9]], "aim": "down"}],
    })  # fmt: skip
    _, notes = of_kind(house, layouts.kinds()["ws2811-12v-group3"])
    assert any(note.endswith("on the same 10 ft") for note in notes), notes


def test_one_pixel_is_no_span_and_one_feed_no_feeds() -> None:
    def why(first: str, last: str) -> SimpleNamespace:
        detail = {"first": first, "last": last}
        return SimpleNamespace(code="unfed", value=0.04, limit=0.0, detail=detail)

    assert why_sentence(why("a[0]", "a[0]")) == "nothing else feeds a[0], which draws 0.0 A"
    assert why_sentence(why("a[0]", "a[9]")).startswith("nothing else feeds a[0] to a[9], which")
    plan = SimpleNamespace(
        parts=SimpleNamespace(currency="EUR"), priced=True, price=9.0, lower_bound=9.0
    )
    report = SimpleNamespace(plan=plan, feeds=1, cuts=(1,), status="optimal")
    told = "".join(span.text for span in next(iter(_price(report))).words)
    assert "fuses, 1 feed and 1 cut with the work" in told
