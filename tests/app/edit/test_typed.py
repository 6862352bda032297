"""What is typed while drawing, and that it holds."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from sim.app.edit.draft import NotDone
from sim.app.edit.lengths import step_m
from sim.app.edit.typed import Typed, held, typed

FOOT = 0.3048
PLACE = st.tuples(st.floats(-20, 20), st.floats(-20, 20))
UNITS = st.sampled_from(["m", "ft", "in", "cm", "mm"])


@pytest.mark.parametrize(
    ("text", "units", "said"),
    [
        ("2.4 m", "ft", Typed(length_m=2.4)),
        ("2.4", "m", Typed(length_m=2.4)),
        ("8", "ft", Typed(length_m=8 * FOOT)),
        ("8' 6\"", "m", Typed(length_m=8.5 * FOOT)),
        ("9' 6 1/2\"", "m", Typed(length_m=(9 + 6.5 / 12) * FOOT)),
        ("30°", "m", Typed(angle_deg=30.0)),
        ("-12.5 deg", "m", Typed(angle_deg=-12.5)),
        ("6/12", "ft", Typed(pitch=(6.0, 12.0))),
        ("2 m, 30°", "m", Typed(length_m=2.0, angle_deg=30.0)),
        ("30°, 2 m", "m", Typed(length_m=2.0, angle_deg=30.0)),
        ("10', 6/12", "m", Typed(length_m=10 * FOOT, pitch=(6.0, 12.0))),
        ("+1.2, +0.4", "m", Typed(across_m=(1.2, 0.4))),
        ("-1.2 , 40 cm", "m", Typed(across_m=(-1.2, 0.4))),
    ],
)
def test_what_is_typed(text: str, units: str, said: Typed) -> None:
    found = typed(text, units)
    assert found.length_m == pytest.approx(said.length_m)
    assert (found.angle_deg, found.pitch) == (said.angle_deg, said.pitch)
    assert found.across_m == (said.across_m and pytest.approx(said.across_m))


@pytest.mark.parametrize(
    "text", ["", "x", "2,4 m", "1, 2, 3", "30°, 6/12", "6/0", "-2 m", "0", "2 m,", "nan", "1e400"]
)
def test_what_cannot_be_read_is_told(text: str) -> None:
    with pytest.raises(NotDone, match=";"):
        typed(text)


@given(PLACE, PLACE, st.floats(0.05, 30), UNITS)
def test_a_length_holds_to_half_a_step(
    start: tuple[float, float], pointer: tuple[float, float], length: float, units: str
) -> None:
    step = step_m(units)
    length = round(length / step) * step
    found = held(start, pointer, Typed(length_m=length), units)
    assert abs(math.dist(start, found) - length) <= step / 2 + 1e-12
    # towards the pointer: no further from the line there than a few steps of rounding
    assume(math.dist(start, pointer) > 1)
    ideal = [
        s + (p - s) * length / math.dist(start, pointer)
        for s, p in zip(start, pointer, strict=True)
    ]
    assert math.dist(found, ideal) <= 3 * step


@given(PLACE, PLACE, st.integers(1, 24), UNITS)
def test_a_pitch_holds_exactly(
    start: tuple[float, float], pointer: tuple[float, float], rise: int, units: str
) -> None:
    dx, dy = (
        b - a
        for a, b in zip(start, held(start, pointer, Typed(pitch=(rise, 12)), units), strict=True)
    )
    assert abs(dy) * 12 == pytest.approx(abs(dx) * rise, abs=1e-9)
    assert dx * (pointer[0] - start[0]) >= -1e-9  # in the pointer's quarter
    assert dy * (pointer[1] - start[1]) >= -1e-9
    if rise == 6:  # atan(1/2), as a framing square has it
        assert math.degrees(math.atan2(abs(dy), abs(dx))) == pytest.approx(26.565, abs=5e-4)


@given(PLACE, st.floats(-180, 180), st.floats(1, 20))
def test_a_length_at_an_angle(start: tuple[float, float], angle: float, length: float) -> None:
    length = round(length, 3)
    found = held(start, (0, 0), Typed(length_m=length, angle_deg=angle))
    dx, dy = found[0] - start[0], found[1] - start[1]
    assert abs(math.hypot(dx, dy) - length) <= 0.0005 + 1e-12
    turned = math.degrees(math.atan2(dy, dx)) - angle
    # 1 m with a millimetre across is 0.06°
    assert abs((turned + 180) % 360 - 180) < math.degrees(0.0016 / length)


def test_right_angles_have_no_dust() -> None:
    assert held((0, 0), (1, 1), Typed(length_m=2.0, angle_deg=90)) == (0.0, 2.0)
    assert held((0, 0), (1, 1), Typed(length_m=2.0, angle_deg=180)) == (-2.0, 0.0)
    assert held((1, 1), (5, 1), Typed(length_m=2.4)) == (3.4, 1.0)


def test_dimensions_to_the_right_and_up() -> None:
    assert held((1.0, 1.0), (0, 0), typed("+1.2, -0.4")) == pytest.approx((2.2, 0.6))
    found = held((0.0, 0.0), (0, 0), typed("4', 6 1/16\"", "ft"), "ft")
    assert found == pytest.approx((4 * FOOT, 6.0625 * 0.0254))


def test_an_angle_alone_goes_as_far_as_the_pointer() -> None:
    found = held((0, 0), (3.0, 0.2), Typed(angle_deg=0.0))
    assert found == (3.0, 0.0)
