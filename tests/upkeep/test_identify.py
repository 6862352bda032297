"""Idle and channel powers out of readings at the wall."""

from __future__ import annotations

import numpy as np
import pytest

from sim.upkeep.identify import followed, identify

DUTY = np.array(
    [[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1], [1, 1, 1], [0.5, 0.5, 0.5]], dtype=float
)


def test_readings_of_a_string_of_three_colours() -> None:
    # the identification vector of the project's facts (metering and identification) [calc]: normal
    # equations solved by hand for off, R, G, B, RGB, half RGB
    found = identify(DUTY, np.array([4.2, 27.6, 26.4, 26.9, 72.7, 38.3]))
    assert found.coefficients == pytest.approx([4.1385, 23.4692, 22.2692, 22.7692], abs=5e-5)
    assert found.residuals == pytest.approx(
        [0.062, -0.008, -0.008, -0.008, 0.054, -0.092], abs=5e-4
    )
    assert found.spare == 2
    assert found.deviation_w == pytest.approx(0.0877, abs=5e-5)
    # standard error for each unit of the reading's: P₀ .698, each channel .934; a display of
    # 0.1 W is uncertain by 0.1/√12 = .029 W, so .020 and .027 W
    assert found.unit_error == pytest.approx([0.698, 0.934, 0.934, 0.934], abs=6e-4)
    display_w = 0.1 / np.sqrt(12)
    assert found.unit_error[:2] * display_w == pytest.approx([0.020, 0.027], abs=5e-4)


def test_least_squares_is_what_another_library_says() -> None:
    # scipy.linalg's solver through the normal equations' QR, readings by chance
    from scipy.optimize import nnls

    rng = np.random.default_rng(7)
    watts = 5 + DUTY @ [20.0, 25.0, 22.0] + rng.normal(0, 0.1, 6)
    design = np.column_stack([np.ones(6), DUTY])
    by_scipy, off = nnls(design, watts)
    found = identify(DUTY, watts)
    assert found.coefficients == pytest.approx(by_scipy, rel=1e-9)
    assert np.linalg.norm(found.residuals) == pytest.approx(off, rel=1e-9)


def test_dies_in_series_do_not_follow_the_sum() -> None:
    # 12 V single-pixel parts: any colour draws what white does (a public bench log and the 0.18 W
    # limit of the sheet), so all-on reads as red alone does: the sum law is off by tens of watts
    watts = np.array([12.0, 60.0, 60.1, 59.9, 60.0, 36.1])
    law = followed(DUTY, watts)
    assert law is not None
    assert law.law == "series"
    assert law.sum_off_w > 10
    assert law.max_off_w < 0.2
    assert (law.idle_w, law.lit_w) == pytest.approx((12.05, 47.95), abs=0.1)


def test_a_string_of_three_colours_follows_the_sum() -> None:
    law = followed(DUTY, np.array([4.2, 27.6, 26.4, 26.9, 72.7, 38.3]))
    assert law is not None
    assert law.law == "parallel"


def test_readings_that_cannot_tell() -> None:
    assert followed(DUTY[:4], np.array([4.2, 27.6, 26.4, 26.9])) is None
    with pytest.raises(ValueError, match="too few"):
        identify(DUTY[[0, 4]], np.array([4.0, 70.0]))
