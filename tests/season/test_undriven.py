"""Watts of a house whose controller is off while its supplies are on."""

import pytest

from layouts import House, house_from
from sim.season.watts import undriven_w


def house(*kinds: str) -> House:
    runs = [
        {"name": f"r{n}", "pixels": kind, "path": [[0, 1 + n], [5, 1 + n]], "count": 50}
        for n, kind in enumerate(kinds)
    ]
    return house_from({"name": "t", "drawing": {"size": [10, 5]}, "runs": runs})


def test_what_stays_dark_is_not_told_of() -> None:
    assert undriven_w(house("ws2813", "sk6812")) is None


def test_blue_until_data_come() -> None:
    # UCS1903N on 24 V: 17 mA of blue and 2.6 mA of its own, 50 pixels: 23.5 W
    assert undriven_w(house("ucs1903-24v-group6")) == pytest.approx(24 * 50 * 19.6e-3)


def test_a_pattern_is_allowed_for_in_full() -> None:
    # GS8208 on 12 V: one current of 17.5 mA and 2.5 mA; 50 dark WS2813 on 5 V at 0.7 mA beside it
    both = undriven_w(house("gs8208", "ws2813"))
    assert both == pytest.approx(12 * 50 * 20e-3 + 5 * 50 * 0.7e-3)
