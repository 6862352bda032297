"""What compare says of choices and figures."""

import pytest

import layouts
from layouts import EvenfallError
from sim.report.compare import chosen
from sim.report.compare_text import shift_in_words, white_in_words


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


def test_words_for_figures(comparison):
    rgb, rgbw = comparison.kinds
    assert " to " in white_in_words(rgb)
    assert white_in_words(rgbw) in ("82", "83", "84", "85")
    assert shift_in_words(rgbw.white.shifts["brick-red"]).startswith(("looks right", "2 ΔE"))
