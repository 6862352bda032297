"""Cuts, places, routes and leads: what may be written and what it means."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from layouts import House, house_schema, spot_xy_m

HEAD = "format: evenfall-house/1\nname: T\ndrawing: {size: [10, 5]}\n"
BOX = "supplies: [{name: box, volts: 5, amps: 9}]\n"
FED = "wires: [{from: box, to: r.start, wire: 16 AWG, length: 1 m, fuse: 5}]\n"


def run(cuts: str) -> str:
    # 3 m at 60 a metre: 180 pixels, boundaries 1 to 179
    return f"{HEAD}runs: [{{name: r, pixels: ws2813, path: [[0, 1], [3, 1]], cuts: {cuts}}}]\n"


@pytest.mark.parametrize(
    ("cuts", "positions"),
    [
        ("[]", ()),
        ("[75]", (75,)),
        ("[179, 1]", (1, 179)),
        ("[2.5 m]", (150,)),
        ("[0.508 m]", (30,)),  # 30.48 pixels: the boundary before pixel 30 is the nearest
        ("[0.51 m]", (31,)),  # 30.6
        ("[1.7 cm, 2 ft]", (1, 37)),  # 1.02; 0.6096 m is 36.58 pixels
    ],
)
def test_where_a_cut_is(house: Callable[[str], House], cuts: str, positions: tuple[int]) -> None:
    assert house(run(cuts)).runs[0].cuts == positions


@pytest.mark.parametrize(
    ("cuts", "problem"),
    [
        ("[¶0]", "a cut at 0 is not between two pixels of run 'r'; write 1 to 179"),
        ("[¶180]", "a cut at 180 is not between two pixels of run 'r'; write 1 to 179"),
        ("[¶-3]", "a cut at -3 is not between two pixels of run 'r'; write 1 to 179"),
        ("[¶3 m]", "a cut at 3 m is not between two pixels of run 'r'; write 1 to 179"),
        ("[¶8 mm]", "a cut at 0.008 m is not between two pixels of run 'r'; write 1 to 179"),
        ("[9, ¶9]", "run 'r' is already cut before pixel 9; write it once"),
        (
            "[60, ¶1 m]",
            "run 'r' is already cut before pixel 60: 60 and 1 m are the same; write it once",
        ),
        (
            "[¶2.5]",
            "2.5 is not a position, which is a whole number; write a length with its unit: '2.5 m'",
        ),
        ("[¶true]", "True is not a cut; write the position behind it, or a length '2.5 m'"),
        ("[¶nine]", "'nine' is not a length; write it like '2.5 m', '40 mm' or '12 ft 6 in'"),
        ("¶75", "expected a list, found 75"),
    ],
)
def test_what_is_no_cut(refused: Callable[[str], list[str]], cuts: str, problem: str) -> None:
    assert refused(run(cuts)) == [f"¶ {problem}"]


def test_a_cut_is_told_in_the_units_of_the_house(refused: Callable[[str], list[str]]) -> None:
    (told,) = refused(run("[¶20 ft]").replace("name: T\n", "name: T\nunits: ft\n"))
    assert told.startswith("¶ a cut at 20 ft is not between two pixels of run 'r'")


def test_a_cut_counts_positions_as_mounted(house: Callable[[str], House]) -> None:
    # 10 pixels over 5 m stand 0.5 m apart, whatever the strip's own pitch
    spread = "runs: [{name: r, pixels: ws2813, path: [[0, 1], [5, 1]], count: 10, cuts: [2 m]}]\n"
    assert house(HEAD + spread).runs[0].cuts == (4,)


PLACED = f"""{run("[]")}{BOX.replace("}", ", at: loft}")}{FED}
places:
  - {{name: loft, at: [3, 2.5], mains: true, sheltered: true}}
  - {{name: gate, at: [-4, 1]}}
routes: [{{name: behind the fascia, path: [[0, 2], [3, 2], [3, 0]]}}]
outputs:
  - name: A
    chain: [r]
    at: [2, 50 cm]
    lead: {{wire: 22 AWG, length: 2 m}}
    logic_v: 3.3 V
    series_ohm: 330 ohm
    common_minus: box
"""


def test_places_routes_and_leads(house: Callable[[str], House]) -> None:
    made = house(PLACED)
    loft, gate = made.places
    assert (loft.name, loft.xy_m, loft.mains, loft.sheltered) == ("loft", (3, 2.5), True, True)
    assert (gate.xy_m, gate.mains, gate.sheltered) == ((-4, 1), False, False)
    assert made.routes[0].path_m.tolist() == [[0, 2], [3, 2], [3, 0]]
    output = made.outputs[0]
    assert output.lead is not None
    assert (output.lead.size.name, output.lead.length_m) == ("22 AWG", 2)
    assert (output.logic_v, output.series_ohm, output.common_minus) == (3.3, 330, "box")
    assert spot_xy_m(made, made.supplies[0].at) == (3, 2.5)
    assert spot_xy_m(made, output.at) == (2, 0.5)
    assert spot_xy_m(made, None) is None


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        ("at: loft", "at: ¶lofft", "unknown place 'lofft'; did you mean 'loft'?"),
        ("at: loft", "at: ¶[1]", "[1] is not a spot; write the name of a place, or [x, y]"),
        (
            "name: gate",
            "name: ¶loft",
            "'loft' is already the name of another place; choose another",
        ),
        ("common_minus: box", "common_minus: ¶bax", "unknown supply 'bax'; did you mean 'box'?"),
        ("logic_v: 3.3 V", "logic_v: ¶12 V", "a port gives 3.3 V or 5 V, not 12 V; write 3.3 or 5"),
        (
            "path: [[0, 2], [3, 2], [3, 0]]",
            "path: ¶[[0, 2], [0, 2]]",
            "route 'behind the fascia' has no length; move a point",
        ),
    ],
)
def test_places_that_do_not_fit(
    refused: Callable[[str], list[str]], old: str, new: str, problem: str
) -> None:
    assert refused(PLACED.replace(old, new, 1)) == [f"¶ {problem}"]


def test_a_drawing_without_a_size_takes_what_is_in_it(house: Callable[[str], House]) -> None:
    drawing = """drawing:
  surfaces:
    - {name: wall, material: brick-red, outline: [[1, 0], [7, 0], [7, 4], [1, 4]]}
    - {name: lawn, material: lawn, outline: [[-9, -2], [20, -2], [20, 0], [-9, 0]]}
"""
    made = house(run("[]").replace("drawing: {size: [10, 5]}\n", drawing))
    # half a metre is left at the right and above; the lawn goes on beyond the picture
    assert made.drawing.size_m == (7.5, 4.5)


def test_the_schema_completes_them() -> None:
    keys = house_schema()["$defs"]
    assert keys["RunEntry"]["properties"]["cuts"]["items"]["anyOf"][0] == {
        "minimum": 1,
        "type": "integer",
    }
    assert list(keys["PlaceEntry"]["properties"]) == ["name", "at", "mains", "sheltered"]
    assert list(keys["RouteEntry"]["properties"]) == ["name", "path"]
    assert list(keys["LeadEntry"]["properties"]) == ["wire", "length"]
    assert "size" not in keys["DrawingEntry"].get("required", [])


@pytest.mark.parametrize(
    ("old", "new"),
    [("16 AWG, length: 1 m", "¶0.2 mm2, length: 1 m"), ("wire: 22 AWG", "wire: ¶0.2 mm2")],
)
def test_a_wire_thinner_than_any_that_is_known(
    refused: Callable[[str], list[str]], old: str, new: str
) -> None:
    # 24 AWG, the thinnest with figures, is 0.205 mm2
    assert refused(PLACED.replace(old, new, 1)) == [
        "¶ no figures for a wire as thin as 0.2 mm2; use 24 AWG or thicker"
    ]
