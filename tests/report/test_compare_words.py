"""What compare says of choices and figures."""

from pathlib import Path

import pytest

import layouts
from layouts import EvenfallError
from sim.report.compare import chosen
from sim.report.other_kind import of_kind, rerated

DEMO = Path(__file__).parents[2] / "demo"


@pytest.mark.parametrize(
    ("names", "said"),
    [
        ((), "compare needs two kinds or more; write --kinds A B, with spaces"),
        (("ws2813",), "compare needs two kinds or more"),
        (("ws2813", "ws2815", "ws2813"), "a kind is named twice"),
        (("ws2813", "ws2851"), "unknown kind 'ws2851'; did you mean 'ws2815'?"),
    ],
)
def test_a_wrong_choice_is_refused(names, said):
    with pytest.raises(EvenfallError) as refusal:
        chosen(names, layouts.kinds())
    assert said in str(refusal.value)


def test_groups_of_leds_are_said():
    house = layouts.load_house(DEMO / "cottage" / "house.yaml")
    notes = rerated(house, layouts.kinds()["ws2811-12v-group3"])[1]
    assert notes[-1] == "one pixel is 3 LEDs that light together"


def test_a_house_of_strips_becomes_one_of_strings_and_says_so():
    house = layouts.load_house(DEMO / "cottage" / "house.yaml")
    changed, notes = of_kind(house, layouts.kinds()["ws2811-12v-group3"])
    assert {run.kind.name for run in changed.runs} == {"ws2811-12v-group3"}
    # the left eave is 5.70 m: 342 pixels at 60 a metre, 57 at 100 mm
    assert notes[0] == (
        "run eave-left: a strip of ws2812b-v5, replaced by a string of ws2811-12v-group3; "
        "342 pixels become 57 on the same 5.7 m"
    )
    # Wires end where they ended: pixel 84 of 342, 1.41 m along, is the 14th of 57.
    (wire,) = [each for each in changed.wires if each.end.text.startswith("eave-left[1")]
    assert wire.end.pad == pytest.approx(15, abs=1)
