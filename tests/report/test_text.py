"""Numbers and bars as reports show them."""

import math
from pathlib import Path

import numpy as np
import pytest

from layouts.finding import Finding
from sim.report.compare_text import frames_text
from sim.report.jsonable import jsonable
from sim.report.terminal import load_bar
from sim.report.text import amps, apart, apart_percent, ceiling_percent, count, number


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (0, "0"),
        (0.126, "0.126"),
        (1.0, "1.00"),
        (38.214, "38.2"),
        (999.4, "999"),
        (24000, "24 000"),
    ],
)
def test_numbers_have_about_three_digits(value, shown):
    assert number(value) == shown


def test_amperes_and_counts():
    assert amps(0.0912) == "91 mA"
    assert amps(0.878) == "0.878 A"
    assert amps(38.21) == "38.2 A"
    assert amps(0) == "0 A"
    assert count(1234567) == "1 234 567"


@pytest.mark.parametrize(
    ("share", "shown"),
    [
        (0.41796875, "41 %"),  # a step of the search, rounded up before: 42 % passed a limit
        (0.58, "58 %"),  # 100 × 0.58 is a little less than 58 in binary
        (0.9990234, "99 %"),
        (1.0, "100 %"),
        (0.0699, "6.9 %"),
        (0.0039, "0.3 %"),
        (0.0, "0 %"),
    ],
)
def test_a_ceiling_is_never_told_higher_than_it_is(share, shown):
    assert ceiling_percent(share) == shown


@pytest.mark.parametrize(
    ("value", "limit", "decimals", "shown"),
    [
        (3.78, 3.75, 1, ("3.8", "3.75")),
        (3.741, 3.74, 1, ("3.741", "3.74")),
        (9.1, 8.333, 1, ("9.1", "8.3")),
        (10.0004, 10.0, 1, ("10.0004", "10")),
        (4.4999, 4.5, 2, ("4.4999", "4.5")),
        (23.36, 70 / 3, 1, ("23.4", "23.3")),
        (23.34, 70 / 3, 1, ("23.34", "23.33")),
        (10.0, 10.0, 1, ("10.0", "10")),
        (12.0, 8.0, 1, ("12.0", "8")),
    ],
)
def test_a_figure_past_its_limit_is_told_so_that_it_differs(value, limit, decimals, shown):
    assert apart(value, limit, decimals) == shown


def test_shares_past_their_limits_are_told_so_too():
    assert apart_percent(0.8003, 0.8) == ("80.03%", "80%")
    assert apart_percent(0.1002, 0.1, 1) == ("10.02%", "10%")
    assert apart_percent(0.336, 0.1, 1) == ("33.6%", "10%")


@pytest.mark.parametrize("share", [0, 0.07, 0.5, 0.8, 0.81, 1.0, 1.3])
@pytest.mark.parametrize("width", [10, 40])
def test_a_bar_is_as_long_as_asked_and_shows_both_marks(share, width):
    full = max(1.0, share)
    bar = load_bar(share, full, width)
    assert len(bar) == width
    assert bar.plain.count("┆") == 1
    assert bar.plain.count("┃") == 1
    assert bar.plain.index("┃") == round(width / full) - 1
    filled = sum(cell in "█┆┃" for cell in bar.plain[: round(share / full * width)])
    assert filled == pytest.approx(round(share / full * width), abs=1)


def test_records_become_plain_data():
    found = Finding("note", "a-code", "here", "text")
    assert jsonable({"a": (found,), "b": np.float32(0.1), "c": np.arange(2), "d": Path("x")}) == {
        "a": [
            {
                "level": "note",
                "code": "a-code",
                "where": "here",
                "text": "text",
                "value": None,
                "limit": None,
                "unit": "",
                "remedies": [],
                "elements": [],
                "detail": {},
            }
        ],
        "b": 0.100000001,
        "c": [0, 1],
        "d": "x",
    }
    assert jsonable(5.339999999999999) == 5.34
    assert math.isnan(jsonable(math.nan))


@pytest.mark.parametrize(
    ("most_hz", "asked_fps", "told"),
    [
        (39.8, 40, "at most 39.8 of the 40 asked"),
        (39.96, 40, "at most 39.9 of the 40 asked"),
        (40, 40, "at most 40"),
        (123.4, 40, "at most 123"),
    ],
)
def test_a_rate_too_low_is_not_rounded_up_to_what_is_asked(most_hz, asked_fps, told):
    assert frames_text(most_hz, asked_fps) == told
