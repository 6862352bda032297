"""Measures in a house file: worth what the numbers would be, and refused where they are wrong."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts import House, change, house_data, house_from
from layouts.files.edits import Append, Put, edited
from layouts.load import house_schema

Load = Callable[[str], House]
Refused = Callable[[str], list[str]]

MEASURED = """\
format: evenfall-house/1
name: Test
units: {units}
measures:
  half: = width / 2  # stands before what it uses
  width: {width}
  eave: {eave}
  pitch: 0.5
  load: 10
drawing:
  size: [= width + 1{u}, "= eave + half * pitch + 1{u}"]
  surfaces:
    - name: wall
      material: stone
      outline: [[0, 0], [= width, 0], [= width, = eave], [0, = eave]]
runs:
  - name: rake
    pixels: ws2815
    path: [[0, = eave], [= half, = eave + half * pitch], [= width, = eave]]
    standoff: = eave / 50
    count: = load * 4
    spare_first: = load / 10
    aim: = load * 4.5
    cuts: [= load + 2, = half]
supplies:
  - {{name: loft, volts: = load + 2, amps: = load / 2, at: [= half, = eave]}}
wires:
  - {{from: loft, to: "rake@= half", wire: 14 AWG, length: = half + eave, fuse: = load / 2}}
"""
WRITTEN = """\
format: evenfall-house/1
name: Test
units: {units}
drawing:
  size: [13, 6.6]
  surfaces:
    - {{name: wall, material: stone, outline: [[0, 0], [12, 0], [12, 2.6], [0, 2.6]]}}
runs:
  - name: rake
    pixels: ws2815
    path: [[0, 2.6], [6, 5.6], [12, 2.6]]
    standoff: 0.052
    count: 40
    spare_first: 1
    aim: 45
    cuts: [12, "6 {units}"]
supplies:
  - {{name: loft, volts: 12, amps: 5, at: [6, 2.6]}}
wires:
  - {{from: loft, to: rake@6, wire: 14 AWG, length: 8.6, fuse: 5}}
"""


def same_house(one: House, other: House) -> bool:
    ours, theirs = house_data(one), house_data(other)
    for each in (ours, theirs):
        each.pop("measures", None)
    ours["wires"][0].pop("to")  # the text of a point; which pad it is comes below
    theirs["wires"][0].pop("to")
    pads = [house.wires[0].end.pad for house in (one, other)]
    return ours == theirs and pads[0] == pads[1]


@pytest.mark.parametrize("units", ["m", "ft"])
def test_an_expression_is_worth_the_number_it_stands_for(house: Load, units: str) -> None:
    written = house(WRITTEN.format(units=units))
    named = {"width": f"12 {units}", "eave": f"2.6 {units}", "u": f" {units}", "units": units}
    assert same_house(house(MEASURED.format(**named)), written)


def test_bare_measures_are_in_the_units_of_the_file(house: Load) -> None:
    text = MEASURED.format(width=12, eave=2.6, u="", units="ft")
    # a bare number is a position there, as it is where it is written: a length needs its unit
    text = text.replace("2, = half]", "2, = half * 1 ft]")
    assert same_house(house(text), house(WRITTEN.format(units="ft")))


def test_data_holds_numbers_and_the_measures_as_written(house: Load) -> None:
    made = house(MEASURED.format(width="12 m", eave="2.6 m", u=" m", units="m"))
    data = house_data(made)
    assert data["runs"][0]["path"][1] == ["6.0 m", "5.6 m"]
    assert data["measures"]["half"] == "= width / 2"
    again = house_from(data)
    assert same_house(again, made)
    assert dict(again.measures) == dict(made.measures)


def test_a_change_reckons_with_the_measures_there_are(house: Load) -> None:
    made = house(MEASURED.format(width="12 m", eave="2.6 m", u=" m", units="m"))
    after = change(made, runs={"rake": {"path": [["= half", 0], ["= width * 2", 0]]}})
    assert np.array_equal(after.runs[0].path_m, [[6, 0], [24, 0]])
    wider = change(made, measures={"half": "8 m"}, supplies={"loft": {"at": ["= half", 1]}})
    assert wider.supplies[0].at == (8, 1)
    assert np.array_equal(wider.runs[0].path_m, made.runs[0].path_m)


def test_edits_leave_expressions_as_they_are() -> None:
    text = MEASURED.format(width="12 m", eave="2.6 m", u=" m", units="m")
    after = edited(text, [Put(("measures", "width"), "14 m"), Append(("runs",), {"name": "x"})])
    assert after.replace("width: 14 m", "width: 12 m").startswith(text[: text.index("supplies")])
    assert after.endswith(text[text.index("supplies") :])


HEAD = """\
format: evenfall-house/1
name: Test
drawing: {size: [10, 5]}
"""
RUN = """\
runs:
  - {name: eave, pixels: ws2813, path: [[0, 3], [5, 3]]}
"""


@pytest.mark.parametrize(
    ("measures", "problem"),
    [
        (
            "measures: {a: ¶= b, b: = c + 1 m, c: = a}",
            "measures that refer to each other in a circle: a → b → c → a;"
            " give one of them a value of its own",
        ),
        (
            "measures: {a: ¶= a + 1}",
            "measures that refer to each other in a circle: a → a;"
            " give one of them a value of its own",
        ),
        (
            "measures: {width: 3 m, a: = 2 * ¶widht}",
            "unknown measure 'widht'; did you mean 'width'?",
        ),
        (
            "measures: {a: '= ¶b'}",
            "unknown measure 'b'; there are: a",
        ),
        (
            "measures: {¶m: 3 m}",
            "'m' is a unit and cannot name a measure; choose another name",
        ),
        (
            "measures: {¶gable-width: 3 m}",
            "'gable-width' cannot name a measure; a - would be a minus; write gable_width",
        ),
        (
            "measures: {¶2nd: 3 m}",
            "'2nd' cannot name a measure; use letters, digits and _, a letter first",
        ),
        (
            "measures: {a: 1 m, ¶a: 2 m}",
            "the key 'a' is here twice, first in line 4; remove one",
        ),
        (
            "measures: {a: ¶3 yards}",
            "'3 yards' is neither a number nor a length; write it like '12 m' or 0.5,"
            " or start with =",
        ),
        (
            "measures: {b: 1 m, a: ¶b * 2}",
            "'b * 2' is neither a number nor a length; to have it reckoned, write '= b * 2'",
        ),
        (
            "measures: {a: ¶[1]}",
            "a measure is a number or a length; write it like '12 m' or 0.5",
        ),
        ("measures: {a: 1 m, b: = a ¶+ 2}", "a number without a unit cannot be added to a length;"
         " write the unit behind the number"),
        ("measures: {a: 1 m, b: \"= a ¶/ (1 - 1)\"}", "this divides by zero;"
         " look at what stands behind it"),
        ("measures: ¶[12]", "expected a mapping of keys to values, found a list"),
        ("measures:¶ ", "expected a mapping of keys to values, found nothing;"
         " write {} or leave the key out"),
    ],
)  # fmt: skip
def test_a_wrong_measure_is_told_at_its_character(
    refused: Refused, measures: str, problem: str
) -> None:
    assert refused(f"{HEAD}{measures}\n{RUN}") == [f"¶ {problem}"]


@pytest.mark.parametrize(
    ("value", "problem"),
    [
        ("= ¶width * eave", "this comes to an area, where a length belongs;"
         " one length too many is multiplied"),
        ("= ¶width / eave", "this comes to a number without a unit, where a length belongs;"
         " the lengths cancel"),
        ("= ¶1 / width", "this comes to a length to the power of -1, where a length belongs;"
         " look at what is multiplied and divided"),
        ("'=  ¶wide'", "unknown measure 'wide'; did you mean 'width'?"),
        ("= width * 1000 ¶* 1000000000", "this comes to more than a house can have;"
         " check the units"),
        ("= ¶width * 100000", "the length 1200000.0 is beyond 100 km; check its unit"),
        ("= (width + ¶)", "expected a value, found ')';"
         " write a number, a length or the name of a measure"),
    ],
)  # fmt: skip
def test_a_wrong_expression_is_told_at_its_character(
    refused: Refused, value: str, problem: str
) -> None:
    text = f"{HEAD}measures: {{width: 12 m, eave: 2.6 m}}\n"
    text += "runs:\n  - {name: eave, pixels: ws2813, path: [[0, 3], [" + value + ", 3]]}\n"
    assert refused(text) == [f"¶ {problem}"]


def test_a_house_without_measures_says_how_to_have_some(refused: Refused) -> None:
    text = HEAD + RUN.replace("[5, 3]", "[= ¶width, 3]")
    said = "there is no measure 'width', for the file has none"
    assert refused(text) == [f"¶ {said}; write 'measures: {{width: …}}' at the top of the file"]


def test_a_broken_measure_is_told_once_and_not_where_it_is_used(refused: Refused) -> None:
    text = f"{HEAD}measures: {{width: ¶12 mm m, half: = width / 2}}\n"
    text += RUN.replace("[5, 3]", "[= half, 3]") + "zones: {front: [eave]}\n"
    assert len(refused(text)) == 1


def test_several_circles_are_told_at_once(refused: Refused) -> None:
    text = f"{HEAD}measures: {{a: = b, b: = a, c: = a + d, d: = d, e: = c}}\n{RUN}"
    found = refused(text)
    assert [each.split(": ")[1].split(" in a")[0] for each in found] == [
        "measures that refer to each other"
    ] * 2
    assert "a → b → a" in found[0]
    assert "d → d" in found[1]


def test_a_whole_number_must_come_out_where_pixels_are_counted(refused: Refused) -> None:
    text = HEAD + RUN.replace("}", ", count: ¶= 5 / 2}")
    assert refused(text)[0].startswith("¶ this comes to 2.5, where a whole number belongs")


def test_a_long_chain_of_measures_needs_no_stack(house: Load) -> None:
    names = "".join(f"  a{i}: = a{i + 1} + 1 mm\n" for i in range(998))
    made = house(f"{HEAD}measures:\n{names}  a998: 1 m\n" + RUN.replace("[5, 3]", "[= a0, 3]"))
    assert made.runs[0].path_m[1, 0] == 1.998


def test_measures_that_square_each_other_are_refused(refused: Refused) -> None:
    names = "".join(f"  a{i}: = a{i + 1} * a{i + 1}\n" for i in range(60))
    found = refused(f"{HEAD}measures:\n{names}  a60: 1.0000000000001\n{RUN}")
    assert len(found) == 1
    assert "more digits than can be reckoned with" in found[0]


def test_a_thousand_measures_and_no_more(refused: Refused) -> None:
    names = "".join(f"  a{i}: 1 m\n" for i in range(1001))
    assert refused(f"{HEAD}¶measures:\n{names}{RUN}") == [
        "¶ 1001 measures, where 1000 are allowed; leave some out"
    ]


def test_names_and_texts_are_not_reckoned(house: Load) -> None:
    text = HEAD.replace("Test", "= width / 2") + "measures: {width: 3 m}\n" + RUN
    assert house(text).name == "= width / 2"


@given(st.floats(0.5, 60, allow_nan=False), st.integers(1, 9))
def test_no_digit_is_lost(width: float, parts: int) -> None:
    """A measure taken into equal parts and put together again is the number it was."""
    data = {
        "name": "x",
        "measures": {"width": f"{width:.6f} m", "part": f"= width / {parts}"},
        "drawing": {},
        "runs": [
            {"name": "a", "pixels": "ws2815", "path": [[0, 1], [f"= part * {parts}", 1]]},
        ],
    }
    assert house_from(data).runs[0].path_m[1, 0] == float(f"{width:.6f}")


def test_the_schema_takes_expressions() -> None:
    schema = house_schema()
    assert "measures" in schema["properties"]
    path = schema["$defs"]["RunEntry"]["properties"]["path"]["items"]["items"]
    assert "= width / 2" in path["anyOf"][1]["examples"]
    count = schema["$defs"]["RunEntry"]["properties"]["count"]
    assert count["anyOf"][1]["pattern"] == r"^\s*="
