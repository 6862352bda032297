"""Roofs against the identities of the triangle, as any carpentry handbook has them.

A common rafter over a run r with a rise of p in one: rise = p·r, length = r·√(1 + p²); a framing
square gives 12.37, 13.42, 14.42, 16.97 inches of rafter a foot of run at 3, 6, 8 and 12 in 12.
A hip at 45° in plan goes in by as much as the common rafter's run.
"""

from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts.forms import roof

half_spans = st.floats(1.0, 15.0)
pitches = st.floats(0.05, 2.5)
eaves = st.floats(2.0, 12.0)


def length(path: list[tuple[float, float]]) -> float:
    return sum(math.dist(a, b) for a, b in itertools.pairwise(path))


@pytest.mark.parametrize(
    ("pitch", "rafter_in"), [(3 / 12, 12.37), (6 / 12, 13.42), (8 / 12, 14.42), (12 / 12, 16.97)]
)
def test_rafters_are_as_long_as_the_framing_square_says(pitch: float, rafter_in: float) -> None:
    made = roof.gable(0, 24, 0, pitch)  # a span of 24 in is a foot of run on either side
    assert length(made[:2]) == pytest.approx(rafter_in, abs=0.005)


@given(half_spans, pitches, eaves)
def test_a_gable_follows_its_pitch(half: float, pitch: float, eave: float) -> None:
    left, ridge, right = roof.gable(3 - half, 3 + half, eave, pitch)
    assert ridge == pytest.approx((3, eave + pitch * half))
    assert left[1] == right[1] == eave
    assert length([left, ridge]) == pytest.approx(half * math.sqrt(1 + pitch**2))


@given(half_spans, pitches, eaves)
def test_a_hip_goes_in_by_its_run(half: float, pitch: float, eave: float) -> None:
    for deep in (half, 2 * half, 3 * half):
        outline = roof.hip(0, 2 * half, eave, pitch, deep)
        run = min(half, deep / 2)
        assert max(y for _, y in outline) == pytest.approx(eave + pitch * run)
        top = [x for x, y in outline if y > eave + 1e-9]
        assert min(top) == pytest.approx(run)
        assert max(top) == pytest.approx(2 * half - run)
        assert len(outline) == (4 if deep < 2 * half - 1e-9 else 3)


@given(half_spans, st.floats(0.1, 1.5), eaves)
def test_a_gambrel_is_steep_below_and_has_its_pitch_above(
    half: float, pitch: float, eave: float
) -> None:
    tip, knee, ridge, *_ = roof.gambrel(-half, half, eave, pitch)
    assert math.degrees(math.atan2(knee[1] - tip[1], knee[0] - tip[0])) == pytest.approx(60)
    assert (ridge[1] - knee[1]) / (ridge[0] - knee[0]) == pytest.approx(pitch)
    assert ridge[0] == pytest.approx(0)


@given(half_spans, pitches, eaves)
def test_a_shed_slopes_across_the_whole_width(half: float, pitch: float, eave: float) -> None:
    for high, way in (("left", -1), ("right", 1)):
        (left, low), (right, top) = roof.shed(0, 2 * half, eave, pitch, high=high)
        assert (top - low) / (right - left) == pytest.approx(way * pitch)
        assert min(low, top) == eave


@given(half_spans, pitches, st.floats(0.02, 0.3))
def test_a_shifted_edge_is_parallel_at_its_distance(
    half: float, pitch: float, thick: float
) -> None:
    edge = roof.gable(-half, half, 3.0, pitch)
    moved = roof.shifted(edge, thick)
    # Distance of a line's own points from the line: the ridge moves up by thick·√(1 + p²).
    assert moved[1] == pytest.approx((0, edge[1][1] + thick * math.hypot(1, pitch)))
    (x0, y0), (x1, y1) = edge[:2]
    for x, y in moved[:2]:
        off = abs((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) / math.dist(edge[0], edge[1])
        assert off == pytest.approx(thick)
