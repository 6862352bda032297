"""Channels of two runs that meet at a ridge or a corner."""

import math

import pytest

from layouts import house_from
from sim.parts import bill_of, builtin_parts
from sim.parts.meeting import legs_of

LEFT, RIGHT = [[0, 3], [4, 5]], [[4, 5], [8, 3]]


def runs(*paths, **changed):
    """Runs named a, b, …; `changed` says something else of b."""
    made = [
        {"name": "abcd"[n], "pixels": "ws2812b", "path": path, "aim": "out", "standoff": 0.4,
         "profile": "channel-frosted"} | (changed if n == 1 else {})
        for n, path in enumerate(paths)
    ]  # fmt: skip
    return house_from(
        {
            "format": "evenfall-house/1",
            "name": "Gable",
            "drawing": {"size": [12, 9], "surfaces": []},
            "runs": made,
        }
    )


def ends(house):
    """(start, end) [°] of each run as a whole, and which of its ends are free."""
    found = legs_of(house.runs)
    return {
        name: (own[0].start_deg, own[-1].end_deg, own[0].start_free, own[-1].end_free)
        for name, own in found.items()
    }


# By hand: a roof of 6/12 rises 6 in 12, atan 0.5 = 26.565°; the way over its ridge turns by twice
# that, 53.13°, and each piece is cut at half the turn. Of 12/12: 45°, a right angle over the ridge.
@pytest.mark.parametrize(("rise", "degrees"), [(6, 26.565), (8, 33.690), (12, 45.0)])
def test_the_pieces_at_a_ridge_are_cut_at_the_slope_of_the_roof(rise, degrees):
    left = [[0, 3], [4, 3 + 4 * rise / 12]]
    right = [[4, 3 + 4 * rise / 12], [8, 3]]
    for other in (right, right[::-1]):  # whichever way its data go
        told = ends(runs(left, other))
        assert told["a"] == (0, pytest.approx(degrees, abs=1e-3), True, False)
        ridge = pytest.approx(degrees, abs=1e-3)
        assert told["b"] == ((ridge, 0, False, True) if other == right else (0, ridge, True, False))


def test_two_runs_are_cut_as_one_that_goes_over_the_ridge():
    two, one = ends(runs(LEFT, RIGHT)), runs([*LEFT, RIGHT[1]])
    first, second = legs_of(one.runs)["a"]
    assert two["a"][1] == pytest.approx(first.end_deg)
    assert two["b"][0] == pytest.approx(second.start_deg)


def test_the_list_has_the_angle_and_no_cap_at_the_ridge():
    bill = bill_of(runs(LEFT, RIGHT), builtin_parts())
    (channel,) = [cuts for cuts in bill.cuts if cuts.item == "channel"]
    pieces = {piece.name: piece for bar in channel.bars for piece in bar.pieces}
    # √20 m are 4.472 m: bars of 2 m and the rest; the ridge is the end of a and the start of b.
    assert pieces["a 1c"].length_m == pytest.approx(math.sqrt(20) - 4)
    assert [(p.start_deg, round(p.end_deg, 2)) for p in (pieces["a 1a"], pieces["a 1c"])] == [
        (0, 0), (0, 26.57),
    ]  # fmt: skip
    assert [(round(p.start_deg, 2), p.end_deg) for p in (pieces["b 1a"], pieces["b 1c"])] == [
        (26.57, 0), (0, 0),
    ]  # fmt: skip
    (caps,) = [line for line in bill.lines if line.item == "end cap"]
    assert caps.quantity == 2 + 1  # both eaves, and 5 % spare rounded up


@pytest.mark.parametrize(
    ("path", "changed"),
    [
        ([[4.03, 5], [8, 3]], {}),  # 30 mm on, at 60 pixels a metre: a gap
        ([[4, 5], [8, 7]], {}),  # straight on
        ([[4, 5], [0, 3.1]], {}),  # back again
        (RIGHT, {"standoff": 0.6}),  # behind it
        (RIGHT, {"profile": "channel-deep-frosted"}),
        (RIGHT, {"aim": "wall"}),  # turned about its own line
    ],
)
def test_what_does_not_close_is_not_mitred(path, changed):
    told = ends(runs(LEFT, path, **changed))
    assert told["a"] == (0, 0, True, True)
    assert told["b"] == (0, 0, True, True)


def test_an_end_within_a_pitch_meets():
    assert ends(runs(LEFT, [[4.015, 5], [8.015, 3]]))["b"][0] == pytest.approx(26.565, abs=1e-3)


def test_of_three_ends_at_a_spot_none_is_cut():
    told = ends(runs(LEFT, RIGHT, [[4, 5], [4, 8]]))
    assert all(each == (0, 0, True, True) for each in told.values())


def test_a_ring_closes():
    told = ends(runs([[0, 0], [2, 0], [2, 2], [0, 2], [0, 0]]))
    assert told["a"] == (pytest.approx(45), pytest.approx(45), False, False)
