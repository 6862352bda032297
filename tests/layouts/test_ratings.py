"""Ratings of supplies as they are written or sold."""

import pytest

from layouts.ratings import amps_rated, rating_text


@pytest.mark.parametrize(
    ("volts", "rated_a", "shown"),
    [
        (12, 25.0, "25 A"),
        (5, 40.0, "40 A"),
        (12, 12.5, "12.5 A"),
        (5, 7.25, "7.25 A"),
        (12, 350 / 12, "350 W (29.2 A)"),
        (12, 29.167, "350 W (29.2 A)"),  # as a plan writes it into a house file
        (12, 29.17, "29.17 A"),  # as somebody wrote it
        (12, 8.333, "100 W (8.33 A)"),
        (24, 14.583, "350 W (14.6 A)"),
        (12, 29.1415, "29.1 A"),  # no round number of either
    ],
)
def test_as_it_is_written_or_sold(volts, rated_a, shown):
    assert rating_text(volts, rated_a) == shown


def test_amperes_alone():
    assert [amps_rated(a) for a in (29.167, 8.333, 12.75, 120.0)] == [
        "29.2",
        "8.33",
        "12.75",
        "120",
    ]
