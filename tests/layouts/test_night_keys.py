"""Keys of a house file about the night: lens, ground, windows; ¶ marks the place of a refusal."""

from __future__ import annotations

import pytest

from layouts import house_from
from layouts.entries import house_data
from layouts.ground import with_bounces, with_ground

HOUSE = """\
format: evenfall-house/1
name: Test
drawing: {{size: [10, 5]{drawing}}}
runs:
  - {{name: eave, pixels: ws2813, path: [[0, 3], [5, 3]]{run}}}
"""


@pytest.mark.parametrize(
    ("drawing", "run", "problem"),
    [
        (", ground: ¶ice", "", "'ice' is not one of the choices; there are: grass, wet, snow"),
        (", lit_windows: ¶1.5", "", "1.5 is out of range; write at least 0 and at most 1"),
        (", bounces: ¶3", "", "3 is not one of the choices; there are: 0, 1 or 2"),
        (
            ", surfaces: [{name: a, material: tin, faces: ¶up, outline: [[0, 0], [1, 0], [1, 1]]}]",
            "",
            "'up' is not one of the choices; there are: street, down",
        ),
        ("", ", lens: ¶0", "0 is out of range; write at least 5 and at most 170"),
        ("", ", lens: ¶175°", "175 is out of range; write at least 5 and at most 170"),
    ],
)
def test_refused_at_its_place(refused, drawing, run, problem):
    assert refused(HOUSE.format(drawing=drawing, run=run)) == [f"¶ {problem}"]


def test_they_come_back_as_they_were(house):
    made = house(HOUSE.format(drawing=", ground: wet, lit_windows: 40 %", run=", lens: 30°"))
    again = house_from(house_data(made))
    for one in (made, again):
        assert (one.drawing.ground, one.drawing.lit_windows) == ("wet", 0.4)
        assert one.run("eave").beam_half_deg == 15
    assert with_ground(made, "snow").drawing.ground == "snow"
    assert with_ground(made, None) is made


def test_without_them_a_house_is_as_before(house):
    made = house(HOUSE.format(drawing="", run=""))
    assert (made.drawing.ground, made.drawing.lit_windows) == ("grass", None)
    assert made.run("eave").beam_half_deg == made.run("eave").kind.beam_half_deg
    assert "lens" not in house_data(made)["runs"][0]


def test_bounces_and_undersides_come_back_as_they_were(house):
    band = "{name: a, material: trim-white, faces: down, outline: [[0, 0], [1, 0], [1, 1]]}"
    made = house(HOUSE.format(drawing=f", bounces: 1, surfaces: [{band}]", run=""))
    again = house_from(house_data(made))
    for one in (made, again):
        assert one.drawing.bounces == 1
        assert one.drawing.surfaces[0].faces == "down"
    assert with_bounces(made, 0).drawing.bounces == 0
    assert with_bounces(made, None) is made
    plain = house(HOUSE.format(drawing="", run=""))
    assert plain.drawing.bounces == 2
    assert "bounces" not in house_data(plain)["drawing"]
