"""The ruler and the grid."""

from __future__ import annotations

import pytest

from sim.app.edit.ruler import grid, measured


def test_a_ruler_in_metres() -> None:
    found = measured((1.0, 1.0), (4.0, 5.0))  # three, four, five
    assert (found.length, found.dx, found.dy) == ("5 m", "3 m", "4 m")
    assert found.angle == "53.1°"  # atan(4/3) = 53.13°
    assert found.pitch == "16/12"
    assert found.text == "5 m   → 3 m   ↑ 4 m   53.1°   16/12"


def test_a_ruler_in_feet() -> None:
    found = measured((0.0, 0.0), (12 * 0.3048, 6 * 0.3048), "ft")
    # √(12² + 6²) = 13.4164 ft = 13' 5" less 0.003"
    assert (found.length, found.dx, found.dy) == ("13 ft 5 in", "12 ft", "6 ft")
    assert (found.angle, found.pitch) == ("26.6°", "6/12")
    assert measured((0, 0), (0.0254 * 1.0625, 0), "ft").length == "1 1/16 in"


@pytest.mark.parametrize(
    ("to", "pitch", "angle"),
    [((2.0, 0.0), "level", "0°"), ((0.0, 2.0), "plumb", "90°"), ((-2.0, -1.0), "6/12", "-153.4°")],
)
def test_level_plumb_and_the_other_way(to: tuple[float, float], pitch: str, angle: str) -> None:
    found = measured((0.0, 0.0), to)
    assert (found.pitch, found.angle) == (pitch, angle)


@pytest.mark.parametrize(
    ("units", "px_per_m", "text"),
    [
        ("m", 80.0, "0.2 m"), ("m", 10.0, "1 m"), ("cm", 80.0, "20 cm"), ("m", 1e4, "0.001 m"),
        ("ft", 80.0, "6 in"), ("ft", 20.0, "2 ft"), ("in", 400.0, "1 in"), ("ft", 1e4, "1/16 in"),
        ("m", 0.01, "500 m"),
    ],
)  # fmt: skip
def test_the_grid_keeps_its_lines_apart(units: str, px_per_m: float, text: str) -> None:
    found = grid(units, px_per_m)
    assert found.text == text
    if px_per_m > 1:
        assert found.step_m * px_per_m >= 10
    assert found.heavy > 1
