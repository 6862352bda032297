"""Electrical quantities carry their units, as lengths do."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from layouts import House
from layouts.files.numerals import in_unit

HOUSE = """\
format: evenfall-house/1
name: Units
temperature_c: -10 °C
location: {latitude: 48 °, longitude: 8 deg, timezone: Europe/Berlin, country: DE}
drawing: {size: [6, 4]}
kinds:
  mine:
    like: sk6812
    channels: {r: {ma: 0.012 A, vf: 2100 mV, nm: 622 nm, lm: 1.2 lm}}
    idle_ma: 600 uA
    min_v: 3.6 V
    bit_us: 1250 ns
    reset_us: 0.28 ms
    pwm_hz: 1.2 kHz
    rail_ohm_per_m: 90 mΩ
runs: [{name: r, pixels: mine, path: [[0, 0], [3, 0]]}]
supplies:
  - {name: box, volts: 5 V, amps: 20 A, efficiency: 86 %, no_load_w: 500 mW, source_ohm: 5 mohm}
wires: [{from: box, to: r.start, wire: 14 AWG, length: 6 ft 6 1/2 in, fuse: 10 A}]
outputs: [{name: A, chain: [r], fps: 40 fps}]
"""


def test_a_house_with_units_everywhere(house: Callable[[str], House]) -> None:
    made = house(HOUSE)
    assert made.temperature_c == -10
    assert made.location is not None
    assert (made.location.latitude, made.location.longitude) == (48, 8)
    kind, (supply,), (wire,) = made.runs[0].kind, made.supplies, made.wires
    red = kind.channel("r")
    assert red is not None
    assert (red.current_ma, red.vf_v, red.dominant_nm, red.flux_lm) == (12, 2.1, 622, 1.2)
    assert (kind.idle_ma, kind.min_v, kind.bit_us, kind.reset_us) == (0.6, 3.6, 1.25, 280)
    assert (kind.pwm_hz, kind.rail_ohm_per_m) == (1200, 0.09)
    assert (supply.volts, supply.rated_a, supply.efficiency) == (5, 20, 0.86)
    assert (supply.no_load_w, supply.source_ohm) == (0.5, 0.005)
    assert wire.fuse_a == 10
    assert wire.length_m == pytest.approx(6 * 0.3048 + 6.5 * 0.0254, abs=1e-12)
    assert made.outputs[0].fps == 40


@pytest.mark.parametrize(
    ("text", "unit", "number"),
    [
        ("14 °F", "°C", -10.0),  # (14 − 32)/1.8
        ("−10 °C", "°C", -10.0),
        ("2.2 k\u2126", "Ω", 2200.0),  # the ohm sign and the Greek letter look alike
        ("1.25 \u03bcs", "us", 1.25),  # and so do mu and the micro sign
        ("10A", "A", 10.0),
        ("60%", "", 0.6),
        ("60 %", "A", None),
        ("5 V", "A", None),
        ("10", "A", None),
        ("ten A", "A", None),
    ],
)
def test_a_number_with_its_unit(text: str, unit: str, number: float | None) -> None:
    assert in_unit(text, unit) == (None if number is None else pytest.approx(number, rel=1e-12))


def test_a_unit_of_something_else_is_refused(refused: Callable[[str], list[str]]) -> None:
    assert refused(HOUSE.replace("fuse: 10 A", "fuse: ¶10 V")) == [
        "¶ expected a number, found '10 V'; write the number alone, in A"
    ]
    assert refused(HOUSE.replace("amps: 20 A", "amps: ¶2 kA")) == [
        "¶ 2000 is out of range; write more than 0 and at most 1000"
    ]
