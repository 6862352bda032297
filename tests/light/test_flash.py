"""Flash limits against the test vectors of WCAG 2.2's definitions."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.light.flash import HOT_AREA_SR, transitions, verdicts

FPS = 60.0
TIME_S = np.arange(600) / FPS
WHITE = np.array([1.0, 1.0, 1.0])
RED = np.array([1.0, 0.0, 0.0])
GREEN = np.array([0.0, 1.0, 0.0])
BLUE = np.array([0.0, 0.0, 1.0])
BLACK = np.zeros(3)


def alternating(rate_hz, one, other, time_s=TIME_S):
    """(T, 3): `one` and `other` in turn, `rate_hz` pairs a second."""
    first = (time_s * rate_hz + 1e-9) % 1.0 < 0.5
    return np.where(first[:, None], one, other)


def burst(flashes):
    """Black, then `flashes` white flashes at 8 Hz, then black."""
    lit = (TIME_S >= 2.0) & (2.0 + flashes / 8.0 > TIME_S)
    return np.where(lit[:, None], alternating(8, WHITE, BLACK, TIME_S - 2.0), BLACK)


# Expected: worst transitions in a second by the definitions of WCAG 2.2 (glossary, "general flash
# and red flash thresholds"): a pair a cycle where the step, the darker image and the saturated red
# qualify, none where they do not; more than six (three flashes) fail.
VECTORS = [
    ("white at 3 Hz", alternating(3, WHITE, BLACK), 6, 0),
    ("white at 3.5 Hz", alternating(3.5, WHITE, BLACK), 7, 0),
    ("white at 4 Hz", alternating(4, WHITE, BLACK), 8, 0),
    ("0.09 of white at 4 Hz", alternating(4, 0.09 * WHITE, BLACK), 0, 0),
    ("0.10 of white at 4 Hz", alternating(4, 0.10 * WHITE, BLACK), 8, 0),
    ("1.0 and 0.85", alternating(4, WHITE, 0.85 * WHITE), 0, 0),
    ("0.89 and 0.79", alternating(4, 0.89 * WHITE, 0.79 * WHITE), 8, 0),
    ("red 0.4 and black at 5 Hz", alternating(5, 0.4 * RED, BLACK), 0, 10),
    ("red 0.4 and red 0.2", alternating(5, 0.4 * RED, 0.2 * RED), 0, 0),
    ("red 0.4 and blue 0.4", alternating(5, 0.4 * RED, 0.4 * BLUE), 0, 10),
    ("red and green of equal luminance", alternating(5, RED, GREEN * 0.2126 / 0.7152), 0, 10),
    ("blue and black", alternating(5, BLUE, BLACK), 0, 0),
    ("a sine at 4 Hz", (0.5 - 0.5 * np.cos(8 * np.pi * TIME_S))[:, None] * WHITE, 8, 0),
    ("a burst of three at 8 Hz", burst(3), 6, 0),
    ("a burst of four at 8 Hz", burst(4), 8, 0),
]


def judge(frames, cells=100, spread_deg=5.0, fps=FPS):
    """Verdicts on `cells` cells that all show `frames`, together just over the hot area."""
    at_deg = np.random.default_rng(1).uniform(-spread_deg / 2, spread_deg / 2, (cells, 2))
    area = np.full(cells, 1.05 * HOT_AREA_SR / cells)
    return verdicts(np.repeat(frames[:, None], cells, axis=1), fps, area, at_deg)


@pytest.mark.parametrize(
    ("name", "frames", "general", "red"), VECTORS, ids=[row[0] for row in VECTORS]
)
def test_vectors(name, frames, general, red):
    found = judge(frames)
    assert [verdict.sort for verdict in found] == ["general", "red"]
    assert [verdict.transitions for verdict in found] == [general, red]
    for verdict, expected in zip(found, (general, red), strict=True):
        assert verdict.passes is (expected <= 6)
        assert verdict.passes_strict is (expected <= 6)


def test_noise_makes_no_transitions():
    """3 % of noise moves the moments of a 4 Hz sine's transitions, but adds none."""
    noise = np.random.default_rng(3).normal(0, 0.03, len(TIME_S))
    level = np.clip(0.5 + 0.5 * np.sin(8 * np.pi * TIME_S) + noise, 0, 1)
    frames = level[:, None, None] * WHITE
    assert transitions(frames)[0].sum() == pytest.approx(2 * 4 * 10, abs=1)
    assert not judge(frames[:, 0])[0].passes


def test_a_small_area_passes_but_not_strictly():
    frames = np.zeros((600, 100, 3))
    frames[:, :50] = alternating(4, WHITE, BLACK)[:, None]  # half the hot area
    at_deg = np.zeros((100, 2))
    general, _ = verdicts(frames, FPS, np.full(100, 1.05 * HOT_AREA_SR / 100), at_deg)
    assert general.passes
    assert not general.passes_strict
    assert general.area_sr == pytest.approx(0.525 * HOT_AREA_SR, rel=1e-5)
    assert set(general.area_cells) == set(range(50))


def test_cells_far_apart_do_not_add_up():
    frames = np.repeat(alternating(4, WHITE, BLACK)[:, None], 100, axis=1)
    area = np.full(100, 1.05 * HOT_AREA_SR / 100)
    together = np.linspace(-3, 3, 100)[:, None] * [1, 0]
    apart = np.linspace(-30, 30, 100)[:, None] * [1, 0]
    assert not verdicts(frames, FPS, area, together)[0].passes
    assert verdicts(frames, FPS, area, apart)[0].passes


def test_where_and_when_are_told():
    frames = np.zeros((600, 3, 3))
    frames[:, 1] = burst(5)
    general, red = verdicts(frames, FPS, np.full(3, HOT_AREA_SR * 1.01), np.zeros((3, 2)))
    assert general.cell == 1
    assert general.area_cells.tolist() == [1]
    assert 2.0 < general.area_time_s < 3.0
    assert red.transitions == 0


def test_long_flashing_within_the_limit_is_measured():
    general, _ = judge(alternating(2.5, WHITE, BLACK))
    assert general.passes
    # 10 s of frames, less the first second's build-up.
    assert 8.5 < general.long_s <= 10
    assert judge(alternating(1, WHITE, BLACK))[0].long_s == 0


# WCAG 2.2 allows three flashes in any one second: a field whose cells all flash at the same rate,
# each with a start of its own, flashes as often as any of its cells, 3.1 times a second too often.
@pytest.mark.parametrize(
    ("rate_hz", "passes"), [(2.9, True), (3.0, True), (3.1, False), (3.5, False)]
)
@pytest.mark.parametrize("fps", [40.0, 60.0])
@pytest.mark.parametrize("seed", range(3))
def test_cells_out_of_step(rate_hz, passes, fps, seed):
    time_s = np.arange(int(6 * fps)) / fps
    start_s = np.random.default_rng(seed).uniform(0, 1 / rate_hz, 400)
    lit = ((time_s[:, None] + start_s) * rate_hz + 1e-9) % 1.0 < 0.5
    frames = lit[..., None] * WHITE
    at_deg = np.random.default_rng(7).uniform(-3, 3, (400, 2))
    general, _ = verdicts(frames, fps, np.full(400, 1.05 * HOT_AREA_SR / 400), at_deg)
    assert general.passes is passes
    if not passes:
        assert general.area_sr == pytest.approx(1.05 * HOT_AREA_SR)


def test_what_has_rested_does_not_add_up():
    """Two halves of a field that flash one after the other, two seconds apart."""
    lit = alternating(5, WHITE, BLACK)
    first, later = TIME_S < 2.0, TIME_S > 5.0
    frames = np.zeros((len(TIME_S), 100, 3))
    frames[first, :50] = lit[first][:, None]
    frames[later, 50:] = lit[later][:, None]
    area = np.full(100, 1.6 * HOT_AREA_SR / 100)
    general, _ = verdicts(frames, FPS, area, np.zeros((100, 2)))
    assert general.passes
    assert general.area_sr == pytest.approx(0.8 * HOT_AREA_SR)


@pytest.mark.parametrize(("area_sr", "passes"), [(0.00595, True), (0.006, True), (0.00605, False)])
def test_area_allowed(area_sr, passes):
    # WCAG 2.2: "no more than a total of .006 steradians within any 10 degree visual field"
    frames = np.repeat(alternating(4, WHITE, BLACK)[:, None], 100, axis=1)
    general, _ = verdicts(frames, FPS, np.full(100, area_sr / 100), np.zeros((100, 2)))
    assert general.passes is passes
    assert general.area_sr == pytest.approx(area_sr)


@pytest.mark.parametrize(("darker", "flashes"), [(0.799, True), (0.80, False), (0.801, False)])
def test_the_darker_image_is_below_the_limit(darker, flashes):
    # WCAG 2.2: "where the relative luminance of the darker image is below 0.80"
    general, _ = judge(alternating(4, WHITE, darker * WHITE))
    assert (general.transitions == 8) is flashes
    assert (general.transitions == 0) is not flashes


@pytest.mark.parametrize(
    ("apart_deg", "passes"), [(9.2, False), (9.8, False), (10.2, True), (11, True)]
)
@pytest.mark.parametrize("turned_deg", [0, 17, 45, 90])
def test_two_patches_in_one_field(apart_deg, turned_deg, passes):
    """Each small and below the limit, together above it: a field of 10° holds both, or not."""
    turn = np.radians(turned_deg)
    way = np.array([np.cos(turn), np.sin(turn)])
    at_deg = np.repeat(np.outer([0, apart_deg], way), 50, axis=0) + np.array([0.3, 0.7])
    frames = np.repeat(alternating(4, WHITE, BLACK)[:, None], 100, axis=1)
    general, _ = verdicts(frames, FPS, np.full(100, 1.4 * HOT_AREA_SR / 100), at_deg)
    assert general.passes is passes


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(0, 1), min_size=2, max_size=60), st.floats(0.05, 1))
def test_dimmer_never_flashes_more(levels, factor):
    """Scaling below 0.8 keeps the darker image dark, so only steps can drop out."""
    frames = 0.79 * np.array(levels)[:, None, None] * WHITE
    assert transitions(frames * factor)[0].sum() <= transitions(frames)[0].sum()


@settings(max_examples=40, deadline=None)
@given(st.lists(st.floats(0, 1), min_size=2, max_size=60))
def test_holding_every_frame_adds_no_transition(levels):
    frames = np.array(levels)[:, None, None] * WHITE
    held = np.repeat(frames, 3, axis=0)
    assert transitions(held)[0].sum() == transitions(frames)[0].sum()
