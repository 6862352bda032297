"""What `new --form` draws has nothing to find fault with in its own drawing, read from its file."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from layouts import House, house_findings, load_house
from layouts.eaves import mounting
from layouts.forms import FORMS, FormMeasures, drawn_form
from layouts.forms.usual import TURNED
from layouts.new_file import house_text

SHAPES = [
    (form, facing)
    for form in FORMS
    for facing in (("eave", "gable") if form in TURNED else (FORMS[form],))
]
#: Low roofs bring the rakes of a gable near the eave behind it, low eaves the end of the soffit
#: near the run.
LOW: dict[str, Any] = {"pitch": 0.25, "eave": 2.5, "width": 9.4}


def told(house: House) -> list[tuple[str, str, str, float | None]]:
    """All findings but the one that wiring is still to be planned."""
    found = [f for f in house_findings(house) if f.code != "no-supplies"]
    return [(f.level, f.code, f.where, f.value) for f in found]


@pytest.mark.parametrize(
    ("garage", "units"), [("none", "m"), ("none", "in"), ("left", "m"), ("right", "in")]
)
@pytest.mark.parametrize(("form", "facing"), SHAPES)
def test_no_note_about_its_own_drawing(
    tmp_path: Path, form: str, facing: str, garage: str, units: str
) -> None:
    for more in ({}, LOW) if garage != "none" else ({},):
        asked = {"width": 12.192, **more} | ({"pitch": 0.0} if form == "flat" else {})
        data, over = drawn_form(
            FormMeasures(form=form, facing=facing, garage=garage, units=units, **asked)
        )
        path = tmp_path / "house.yaml"
        path.write_text(house_text(data, remarks="Invented.", over=over), encoding="utf-8")
        house = load_house(path)
        assert told(house) == [], more
        # Every run hangs under something that lets none of its light up, but for a pixel or two
        # where a rake passes a hand's breadth before the corner of the garage's roof.
        found = mounting(house)
        assert (found.over < 0).sum() <= 2, more
        assert (found.above_edge_m <= 0).all(), more


@pytest.mark.parametrize(
    "asked",
    [
        {"form": "cross-gable", "width": 9.4, "garage": "right", "units": "cm", "pitch": 0.25},
        {"form": "hip", "width": 11.1, "garage": "right", "units": "m", "pitch": 7 / 12,
         "overhang": 0.5434, "porch": 3.3, "eave": 3.2, "depth": 5.6, "garage_width": 3.7},
        {"form": "hip", "width": 8.4836, "garage": "left", "units": "in", "storeys": 2,
         "pitch": 10 / 12, "overhang": 0.6071, "dormers": 1, "eave": 3.3274},
        {"form": "gable", "width": 7.9248, "garage": "left", "units": "ft", "facing": "gable",
         "pitch": 0.5, "porch": 2.4384, "garage_width": 4.572},
    ],
    ids=lambda asked: f"{asked['form']} {asked['width']}",
)  # fmt: skip
def test_where_a_run_passes_before_another_roof(asked: dict[str, Any], tmp_path: Path) -> None:
    data, over = drawn_form(FormMeasures(**asked))
    path = tmp_path / "house.yaml"
    path.write_text(house_text(data, remarks="Invented.", over=over), encoding="utf-8")
    assert told(load_house(path)) == []
