"""Pure arrays of the window: ribbon columns, scales, axis numbers, the limit on flashing."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from sim.app.state.ribbon import (
    CeilingAmps,
    Load,
    anywhere,
    columns,
    merged,
    rescaled,
    stretches,
    strongest,
)
from sim.app.state.scales import even_scale, mapped, round_step, round_ticks, time_text, time_ticks
from sim.app.view import theme
from sim.app.view.plot import curve_image, tones, top_of
from sim.app.work.flash_limiter import RATE_PER_S, limited
from sim.light.flash import transitions


def test_no_peak_is_lost_when_frames_share_columns() -> None:
    values = np.zeros(24_000)
    values[17_123] = 9.0
    assert columns(values, 1248).max() == 9.0
    assert columns(values, 1248).argmax() == 17_123 * 1248 // 24_000


def test_few_frames_are_held_over_columns() -> None:
    assert columns(np.array([1.0, 2.0, 3.0]), 6).tolist() == [1, 1, 2, 2, 3, 3]


def test_what_is_not_computed_stays_unknown() -> None:
    values = np.array([1.0, np.nan, np.nan, np.nan, 2.0, 3.0])
    shown = columns(values, 3)
    assert shown[0] == 1.0
    assert np.isnan(shown[1])
    assert shown[2] == 3.0


@given(arrays(bool, st.integers(0, 40)))
def test_stretches_cover_exactly_what_is_true(over: np.ndarray) -> None:
    rebuilt = np.zeros(len(over), bool)
    found = stretches(over)
    for start, end in found:
        rebuilt[start:end] = True
    assert (rebuilt == over).all()
    assert all(a_end < b_start for (_, a_end), (b_start, _) in pairwise(found))


def load_of(supply_a: np.ndarray, utilisation: np.ndarray) -> Load:
    rated_a = np.array([20.0, 10.0])
    return Load(
        supply_a.sum(axis=1), supply_a, utilisation, "80% of supply b", rated_a, ("a", "b"), 40.0
    )


def test_one_supply_over_its_rating_counts_though_the_total_does_not() -> None:
    load = load_of(np.array([[2.0, 9.0], [2.0, 11.0]]), np.array([1.1, 1.4]))
    assert load.over.tolist() == [False, True]
    assert load.past.tolist() == [True, True]
    assert load.peak == (13.0, 1 / 40)
    assert load.peaks.tolist() == [2.0, 11.0]


def test_before_anything_is_computed_nothing_is_claimed() -> None:
    empty = load_of(np.full((5, 2), np.nan), np.full(5, np.nan))
    assert (empty.ready, empty.peak) == (0.0, (0.0, 0.0))
    assert not empty.over.any()
    assert not empty.past.any()
    assert empty.peaks.tolist() == [0, 0]


def test_the_curve_is_as_high_as_its_amps_and_marks_what_is_over() -> None:
    supply_a = np.array([[2.0, 3.0], [2.0, 9.0], [2.0, 11.0], [np.nan, np.nan]])
    load = load_of(supply_a, np.array([0.4, 1.1, 1.4, np.nan]))
    image = curve_image(load, None, (4, 100), top_a=20.0, line_px=2)
    lit = (image != np.array(theme.PANEL)).any(axis=2)
    assert lit.sum(axis=1).tolist() == [25, 55, 65, 0]
    assert [tuple(image[x, 100 - int(lit[x].sum())]) for x in range(3)] == [
        theme.WARM, theme.AMBER, theme.OVER]  # fmt: skip
    # Stripes in the band of b, which is over, and none in that of a, which lies below it.
    assert len(np.unique(image[2, 48:88], axis=0)) == 2
    assert len(np.unique(image[2, 91:], axis=0)) == 1


def test_the_other_side_is_a_bare_line() -> None:
    flat = np.tile([1.0, 1.0], (8, 1))
    load, other = load_of(flat, np.zeros(8)), load_of(4 * flat, np.zeros(8))
    image = curve_image(load, other, (8, 50), top_a=10.0, line_px=1)
    assert (image[:, 10] == theme.FAINT).all()
    assert (image[:, 11:39] == theme.PANEL).all()


def test_supplies_are_stacked_in_tones_of_rising_lightness() -> None:
    load = load_of(np.array([[4.0, 6.0]]), np.array([0.5]))
    image = curve_image(load, None, (3, 100), top_a=20.0, line_px=1)
    low, high = image[1, 90], image[1, 60]  # 2 A and 8 A above the base line
    assert (tuple(low), tuple(high)) == tones(2)
    lightness = [_lightness(_linear(np.array(tone, float))) for tone in tones(5)]
    assert (np.diff(lightness) > 5).all()  # told apart in order whatever colours an eye sees


def test_what_is_about_right_is_dashed_and_pale() -> None:
    load = load_of(np.full((64, 2), 4.0), np.zeros(64))
    sure = curve_image(load, None, (64, 50), top_a=10.0, line_px=1)
    about = curve_image(rescaled(load, 1.0), None, (64, 50), top_a=10.0, line_px=1)
    at_top = 50 - 40
    assert (sure[:, at_top] == theme.WARM).all()
    assert 16 <= (about[:, at_top] == theme.WARM).all(axis=1).sum() <= 48
    assert (about[:, 45].astype(int).sum(axis=1) < sure[:, 45].astype(int).sum(axis=1)).all()


def test_a_part_shows_its_frames_alone() -> None:
    values = np.arange(1000.0)
    assert columns(values, 10, 100, 200).tolist() == [109 + 10 * k for k in range(10)]
    # A frame k is on show from k to k + 1: half of one fills as many columns as half of another.
    assert columns(values, 4, 5.5, 7.5).tolist() == [5, 6, 6, 7]


def test_the_strongest_frame_of_a_column_is_found_and_gaps_are_told() -> None:
    values = np.array([1.0, 5.0, 5.0, 2.0, np.nan, np.nan, 0.0, -1.0])
    assert strongest(values, 4, 0, 8).tolist() == [1, 2, -1, 6]


@given(
    st.lists(st.booleans(), min_size=1, max_size=60).map(np.array),
    st.integers(0, 40),
    st.tuples(st.floats(0, 60), st.floats(0, 60)).map(sorted),
)
def test_a_flag_is_seen_in_the_columns_that_its_frame_has(
    flags: np.ndarray, width: int, part: list[float]
) -> None:
    first, last = min(part[0], len(flags)), min(part[1], len(flags))
    largest = columns(flags.astype(float), width, first, last)
    assert np.array_equal(anywhere(flags, width, first, last), largest > 0)


def test_peaks_are_those_of_what_is_known() -> None:
    nothing = np.nan
    load = load_of(np.array([[-1.0, 3.0], [nothing, 4.0]]), np.zeros(2))
    # as np.nan_to_num(...).max(axis=0): what is not known yet counts as 0
    assert load.peaks.tolist() == [0.0, 4.0]
    assert load_of(np.array([[-1.0, 3.0], [-2.0, 4.0]]), np.zeros(2)).peaks.tolist() == [-1.0, 4.0]


def test_a_rescaled_curve_keeps_what_the_dark_house_draws() -> None:
    # By hand: 3 A of which 1 A is idle, at half the brightness: 1 + (3 - 1) / 2 = 2 A.
    load = replace(load_of(np.array([[3.0, 0.0]]), np.array([0.2])), idle_a=np.array([1.0, 0.0]))
    half = rescaled(load, 0.5)
    assert half.supply_a.tolist() == [[2.0, 0.0]]
    assert half.total_a.tolist() == [2.0]
    assert half.guessed.all()
    assert half.ready == 0.0


def test_computed_frames_take_the_place_of_guessed_ones() -> None:
    about = rescaled(load_of(np.full((3, 2), 4.0), np.zeros(3)), 0.5)
    part = load_of(np.array([[5.0, 1.0], [np.nan, np.nan], [np.nan, np.nan]]),
                   np.array([0.5, np.nan, np.nan]))  # fmt: skip
    both = merged(part, about)
    assert both.total_a.tolist() == [6.0, 4.0, 4.0]
    assert both.guessed.tolist() == [False, True, True]


def test_the_scale_holds_ratings_and_ceiling_and_stays_within_them() -> None:
    low = load_of(np.array([[1.0, 1.0]]), np.array([0.1]))
    high = load_of(np.array([[15.0, 9.0]]), np.array([1.1]))
    assert top_of(low, None) == top_of(high, None) > 30.0
    past = load_of(np.array([[40.0, 9.0]]), np.array([3.0]))
    assert top_of(past, None) > 49.0
    ceiled = replace(low, ceiling=CeilingAmps(0.9, 44.0, ""))
    assert top_of(ceiled, None) > 44.0


def _linear(srgb8: np.ndarray) -> np.ndarray:
    v = srgb8 / 255
    return np.where(v <= 0.04045, v / 12.92, ((v + 0.055) / 1.055) ** 2.4)


def _lightness(linear: np.ndarray) -> np.ndarray:
    """CIE 1976 L*, with the cube root as for Y/Yn > 0.008856 (CIE 15)."""
    y = linear @ np.array([0.2126, 0.7152, 0.0722])
    return 116 * np.cbrt(y) - 16


#: Machado, Oliveira & Fernandes 2009, "A physiologically-based model for simulation of color
#: vision deficiency", Table 1, severity 1.0 (from memory).
DEFICIENT = {
    "protanopia": [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216],
                   [-0.003882, -0.048116, 1.051998]],
    "deuteranopia": [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413],
                     [-0.011820, 0.042940, 0.968881]],
    "tritanopia": [[1.255528, -0.076749, -0.178779], [-0.078411, 0.930809, 0.147602],
                   [0.004733, 0.691367, 0.303900]],
}  # fmt: skip


def test_the_scale_of_volts_rises_evenly_in_lightness() -> None:
    light = _lightness(_linear(even_scale()))
    steps = np.diff(light[::16])
    assert (steps > 0).all()
    assert steps.max() / steps.min() < 1.6


@pytest.mark.parametrize("deficiency", DEFICIENT)
def test_the_scale_keeps_its_order_for_colour_blind_eyes(deficiency: str) -> None:
    seen = np.clip(_linear(even_scale()) @ np.array(DEFICIENT[deficiency]).T, 0, 1)
    assert (np.diff(_lightness(seen)[::16]) > 0).all()


def test_values_outside_the_scale_take_its_ends() -> None:
    table = even_scale()
    shown = mapped(np.array([-1.0, 3.0, 5.0, 99.0]), 3.0, 5.0, table)
    assert (shown[0] == table[0]).all()
    assert (shown[-1] == table[-1]).all()


@pytest.mark.parametrize(
    ("least", "step"), [(0.01, 0.01), (0.04, 0.05), (0.11, 0.2), (6, 10), (1, 1), (0.0301, 0.05)]
)
def test_steps_are_round(least: float, step: float) -> None:
    assert round_step(least) == pytest.approx(step)


def test_axis_numbers_are_round() -> None:
    assert round_ticks(3.5, 5.0, 4) == pytest.approx([3.5, 4.0, 4.5, 5.0])
    assert time_ticks(3.0, 6) == pytest.approx([0, 0.5, 1, 1.5, 2, 2.5, 3])
    assert time_ticks(600, 10)[:3] == [0, 60, 120]
    assert [time_text(65, 600), time_text(1.5, 3)] == ["1:05", "1.5 s"]
    assert [time_text(65.126, 600, 2), time_text(1.5, 3, 2)] == ["1:05.13", "1.50 s"]


def _luminance(colour: theme.Colour) -> float:
    return float(_linear(np.array(colour)) @ np.array([0.2126, 0.7152, 0.0722]))


# WCAG 2.2, 1.4.3: at least 4.5 : 1 for type, contrast (L1 + 0.05) / (L2 + 0.05).
@pytest.mark.parametrize("ground", [theme.NIGHT, theme.PANEL, theme.RAISED])
@pytest.mark.parametrize("ink", [theme.WARM, theme.QUIET, theme.AMBER, theme.OVER, theme.FAINT])
def test_type_stands_out_from_its_ground(ink: theme.Colour, ground: theme.Colour) -> None:
    assert (_luminance(ink) + 0.05) / (_luminance(ground) + 0.05) >= 4.5


def _worst_second(frames: np.ndarray) -> tuple[int, int]:
    """Most general and most red transitions in any second of (T, 3) at 60 frames a second, by
    the counter made from the WCAG 2.2 definitions; six are the limit."""
    general, red = transitions(frames[:, None, :])
    window = np.ones(60, int)
    most = [int(np.convolve(one[:, 0].astype(int), window).max()) for one in (general, red)]
    return most[0], most[1]


@pytest.mark.parametrize("hertz", [2, 3, 4, 5, 7, 12, 20])
@pytest.mark.parametrize("colours", [((1, 1, 1), (0, 0, 0)), ((1, 0, 0), (0, 0, 0)),
                                     ((1, 0, 0), (0, 0, 1))])  # fmt: skip
def test_limited_light_keeps_the_flash_limits(hertz: int, colours: tuple) -> None:
    time_s = np.arange(0, 6, 1 / 60)
    on = np.sin(2 * np.pi * hertz * time_s + 0.01) > 0
    wanted = np.where(on[:, None], *np.array(colours, float))
    shown, seen = wanted[:1], []
    for frame in wanted:
        shown = limited(shown, frame[None], 1 / 60)
        seen.append(shown[0])
    assert max(_worst_second(np.array(seen))) <= 6
    if 4 <= hertz <= 12:
        assert max(_worst_second(wanted)) > 6  # without the limit it fails


def test_the_limit_reaches_what_is_wanted_and_stops_there() -> None:
    shown = np.zeros((2, 4))
    wanted = np.array([[1.0, 0.3, 0, 0], [0, 0, 0, 0.01]])
    for _ in range(600):
        shown = limited(shown, wanted, 1 / 60)
    assert (shown == wanted).all()
    assert limited(np.zeros((1, 4)), np.ones((1, 4)), 0.1).max() == pytest.approx(RATE_PER_S / 10)
