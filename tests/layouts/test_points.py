"""Which pad of a run a point means.

Pads lie at 0 (the start), at (k + ½)·pitch beside pixel k, and at count·pitch (the end); `@` means
the nearest of them. Half a pitch lies between an end and the pixel beside it, so the change is at a
quarter of a pitch; between two pixels it is at a whole number of pitches.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from layouts import House, house_from
from layouts.points import pad
from layouts.records import Run


@pytest.fixture(scope="module")
def run() -> Run:
    house: House = house_from(
        {
            "name": "T",
            "drawing": {"size": [9, 5]},
            "runs": [{"name": "r", "pixels": "ws2813", "path": [[0, 1], [1, 1]], "count": 10}],
        }
    )
    return house.runs[0]  # 10 pixels, 100 mm apart


@pytest.mark.parametrize(
    ("along", "number"),
    [
        ("0 mm", 0),
        ("24 mm", 0),  # 24 from the start, 26 from pixel 0 at 50 mm
        ("26 mm", 1),
        ("50 mm", 1),
        ("74 mm", 1),
        ("99 mm", 1),
        ("101 mm", 2),  # 49 from pixel 1 at 150 mm
        ("899 mm", 9),
        ("901 mm", 10),
        ("950 mm", 10),
        ("974 mm", 10),  # 24 from pixel 9 at 950 mm, 26 from the end
        ("976 mm", 11),
        ("1000 mm", 11),
    ],
)
def test_a_length_means_the_nearest_pad(run: Run, along: str, number: int) -> None:
    assert pad(run, f"@{along}", "m") == number


@pytest.mark.parametrize("along_mm", range(0, 1001, 7))
def test_no_other_pad_is_nearer(run: Run, along_mm: int) -> None:
    pads_mm = [0, *(50 + 100 * k for k in range(10)), 1000]
    found = pads_mm[pad(run, f"@{along_mm} mm", "m")]
    assert abs(found - along_mm) == min(abs(each - along_mm) for each in pads_mm)


def test_what_is_beyond_is_told_in_the_units_of_the_house(
    refused: Callable[[str], list[str]],
) -> None:
    text = """\
format: evenfall-house/1
name: T
units: ft
drawing: {size: [20, 10]}
runs: [{name: r, pixels: ws2813, path: [[0, 8], [10, 8]]}]
supplies: [{name: box, volts: 5, amps: 9}]
wires: [{from: box, to: ¶r@12, wire: 14 AWG, length: 3}]
"""
    # 3.048 m hold 182 whole pixels of 1/60 m: 3.0333 m, 9 ft 11 3/8 in (3.0321) and a bit
    assert refused(text) == [
        "¶ run 'r' is 9 ft 11 3/8 in long, 12 ft is beyond it; write 0 to 9 ft 11 3/8 in"
    ]
