"""A new house file says what it was made of: read again, it is the same data."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts import house_data, house_from, load_house
from layouts.files.document import parse, read
from layouts.files.nodes import unfit_in
from layouts.new_file import house_text, rounded, rounded_length

DEMO = Path(__file__).parents[2] / "demo"
#: 1 in = 25.4 mm and 1 ft = 12 in exactly: international yard and pound agreement of 1959.
MILLIMETRES = {
    "m": Fraction(1000),
    "cm": Fraction(10),
    "mm": Fraction(1),
    "ft": Fraction(3048, 10),
    "in": Fraction(254, 10),
}

lengths = st.floats(-500, 500).map(lambda x: round(x, 6))
names = st.text(max_size=12).filter(lambda text: not unfit_in(text))


def read_again(text: str) -> Any:
    document = parse(text, "new.yaml")
    assert not document.problems, text
    return document.data


@pytest.mark.parametrize("name", ["cottage", "townhouse", "bungalow", "unwired"])
def test_a_demo_house_written_anew_is_the_same_house(name: str, tmp_path: Path) -> None:
    data = read(DEMO / name / "house.yaml").data
    text = house_text(data)
    assert read_again(text) == rounded(data)
    (tmp_path / "house.yaml").write_text(text, encoding="utf-8")
    made, asked = load_house(tmp_path / "house.yaml"), load_house(DEMO / name / "house.yaml")
    # The demo files are typed to the centimetre, so nothing is lost by rounding.
    assert house_data(made) == house_data(asked)


def test_the_manner_of_a_new_file() -> None:
    data = {
        "outputs": [{"name": "A", "chain": ["eave"]}],
        "runs": [{"name": "eave", "pixels": "ws2815", "path": [["0 m", 2.85], [3, 2.85]]}],
        "name": "House, of mine",
        "drawing": {
            "size": [6, 4],
            "surfaces": [
                {"name": "lawn", "material": "lawn", "outline": [[0, 0], [6, 0], [6, 0.1]]},
                {"name": "wall", "material": "brick-red", "outline": [[0, 0], [6, 0], [6, 3]]},
            ],
        },
        "units": "m",
    }
    assert (
        house_text(data, remarks="Made from measurements.\nNobody's.", over={"wall": "the house"})
        == """\
# Made from measurements.
# Nobody's.
format: evenfall-house/1
name: "House, of mine"
units: m

drawing:
  size: [6, 4]
  # Painted in this order, back to front; a larger depth is nearer to the street.
  surfaces:
    - {name: lawn, material: lawn, outline: [[0, 0], [6, 0], [6, 0.1]]}
    # the house
    - {name: wall, material: brick-red, outline: [[0, 0], [6, 0], [6, 3]]}

# A run is one unbroken piece of strip or string, in data order.
runs:
  - {name: eave, pixels: ws2815, path: [[0, 2.85], [3, 2.85]]}

# A controller's data ports and the runs chained on each.
outputs:
  - {name: A, chain: [eave]}
"""
    )


@given(lengths, st.sampled_from(sorted(MILLIMETRES)))
def test_lengths_are_rounded_to_what_a_tape_shows(value: float, units: str) -> None:
    step_mm = Fraction(254, 160) if units in ("ft", "in") else Fraction(1)
    made_mm = Fraction(rounded_length(value, units)) * MILLIMETRES[units]
    asked_mm = Fraction(value) * MILLIMETRES[units]
    # Half a step at most, and what the fourth place of a foot leaves over: 0.00005 ft = 0.02 mm.
    slack_mm = Fraction(16, 1000)
    assert made_mm == asked_mm or abs(made_mm - asked_mm) <= step_mm / 2 + slack_mm
    off_mm = made_mm - round(made_mm / step_mm) * step_mm
    assert abs(off_mm) <= slack_mm or abs(asked_mm) < step_mm
    assert (made_mm > 0) == (asked_mm > 0)
    assert rounded_length(rounded_length(value, units), units) == rounded_length(value, units)


def test_a_length_with_a_unit_comes_out_in_the_file_s() -> None:
    assert rounded_length("12' 6\"", "m") == 3.81
    assert rounded_length("12 ft 6 1/16 in", "ft") == 12.5052
    assert rounded_length("1/16 in", "in") == 0.0625
    assert rounded_length("40 mm", "m") == 0.04
    assert rounded_length("0.2 mm", "m") == 0.0002  # above zero, so not rounded to nothing


points = st.lists(st.tuples(lengths, lengths).map(list), min_size=2, max_size=5)


@given(
    names,
    names,
    st.sampled_from(sorted(MILLIMETRES)),
    points,
    st.lists(st.integers(-5, 5) | names | st.booleans() | st.none(), max_size=3),
    names,
)
def test_whatever_is_written_is_read_again(
    name: str, run: str, units: str, path: list[Any], other: list[Any], remark: str
) -> None:
    data = {
        "name": name,
        "units": units,
        "measures": {"width": "12 m", "half": "= width / 2"},
        "drawing": {
            "size": ["= width", 4],
            "photo": {"file": run, "points": [{"pixel": [10.25, 3.5], "at": path[0]}]},
            "surfaces": [{"name": name, "material": "lawn", "outline": path}],
        },
        "runs": [{"name": run, "pixels": "ws2815", "path": path, "cuts": [3, "2.5 m"]}],
        "zones": {"eaves": [run, f"{run}[0:3]"]},
        "later": other,
    }
    text = house_text(data, remarks=remark, over={name: remark})
    made = read_again(text)
    assert made == {"format": "evenfall-house/1", **rounded(data)}
    assert made["drawing"]["size"][0] == "= width"
    assert made["drawing"]["photo"]["points"][0]["pixel"] == [10.25, 3.5]
    assert made["runs"][0]["cuts"] == [3, "2.5 m"]
    assert rounded(made) == made


def test_what_a_file_cannot_hold_is_said() -> None:
    with pytest.raises(ValueError, match="cannot stand in a file"):
        house_text({"name": "a", "runs": [{"name": object()}]})
    with pytest.raises(ValueError, match="NUL"):
        house_text({"name": "a\0b"})


def test_a_house_of_text_is_a_house() -> None:
    run = {"name": "eave 1-left", "pixels": "ws2815", "path": [[0, 2], ["3 m", 2]]}
    data = {"name": "yes", "units": "ft", "drawing": {"size": [30, 20]}, "runs": [run]}
    house = house_from(read_again(house_text(data)))
    assert (house.name, house.runs[0].name) == ("yes", "eave 1-left")
    assert house.runs[0].path_m[1, 0] == pytest.approx(3, abs=0.0008)  # 1/32 in
