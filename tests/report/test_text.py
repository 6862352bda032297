"""Numbers and bars as reports show them."""

import math
from pathlib import Path

import numpy as np
import pytest

from layouts.finding import Finding
from sim.report.compare_text import frames_text
from sim.report.jsonable import jsonable
from sim.report.terminal import load_bar
from sim.report.text import amps, count, number


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
