"""Lengths and wire sizes, against the units' definitions and the published wire tables."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts.catalogue import wire_size, wire_sizes
from layouts.copper import ohm_per_m, temperature_factor
from layouts.units import METRES, awg_area_mm2, length_m, length_text, wire_area_mm2


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        # International yard and pound agreement of 1959: 1 in = 25.4 mm, 1 ft = 304.8 mm exactly.
        ("2.5 m", 2.5),
        ("40 mm", 0.04),
        ("40mm", 0.04),
        ("30 cm", 0.3),
        ("12 ft 6 in", 3.81),
        ("12' 6\"", 3.81),
        ("12'6\"", 3.81),
        ("6 in", 0.1524),
        ("-3 ft", -0.9144),
        ("1/2 in", 0.0127),
        ("9' 6 1/2\"", 2.9083),
        ("9' 6½\"", 2.9083),
        ("12 ft 6 1/2 in", 3.8227),
        ('-6-1/2"', -0.1651),
        ("3\u00a0ft 2\u00a0in", 0.9652),  # non-breaking spaces, as word processors set them
        (" .5 m ", 0.5),
    ],
)
def test_length_from_text(text: str, metres: float) -> None:
    assert length_m(text) == pytest.approx(metres, rel=1e-12)


@pytest.mark.parametrize(
    "text", ["", "m", "2.5", "1e3 m", "2 m 3", "6 in 12 ft", "3 mi", "1/2", "1/0 in"]
)
def test_text_that_is_no_length(text: str) -> None:
    with pytest.raises(ValueError, match="is not a length; write it like"):
        length_m(text)


@pytest.mark.parametrize("value", [True, None, [1], 1e9, float("inf"), float("nan")])
def test_values_that_are_no_length(value: object) -> None:
    with pytest.raises(ValueError, match="length"):
        length_m(value)  # type: ignore[arg-type]


@given(st.floats(-1e4, 1e4), st.sampled_from(["m", "cm", "mm"]))
def test_metric_round_trip(value: float, unit: str) -> None:
    assert length_m(f"{value:.9f} {unit}") == pytest.approx(length_m(value, unit), abs=1e-8)


@given(st.integers(0, 10_000), st.integers(0, 1199))
def test_feet_and_inches_round_trip(feet: int, hundredths: int) -> None:
    inches = hundredths / 100
    expected = feet * METRES["ft"] + inches * METRES["in"]
    for text in (f"{feet} ft {inches} in", f"{feet}' {inches}\"", f"{feet}ft{inches}in"):
        assert length_m(text) == pytest.approx(expected, abs=1e-12)


# ASTM B258-02: diameters of solid wire [mm] and IACS resistance [Ω/km] at 20 °C; the resistances
# agree within 0.03 % with a published table of ohms per foot (12 to 24 AWG).
PUBLISHED = {
    10: (2.5882, 3.277),
    12: (2.0525, 5.211),
    14: (1.6277, 8.286),
    16: (1.2908, 13.174),
    18: (1.0237, 20.948),
    20: (0.8118, 33.309),
    22: (0.6438, 52.963),
    24: (0.5106, 84.215),
}


@pytest.mark.parametrize("gauge", PUBLISHED)
def test_gauges_against_the_published_table(gauge: int) -> None:
    diameter_mm, ohm_per_km = PUBLISHED[gauge]
    assert math.sqrt(awg_area_mm2(gauge) * 4 / math.pi) == pytest.approx(diameter_mm, abs=5e-5)
    assert ohm_per_m(awg_area_mm2(gauge)) * 1000 == pytest.approx(ohm_per_km, rel=3e-4)


def test_gauges_where_the_standard_fixes_them() -> None:
    # ASTM B258-02: 36 AWG is 0.005 in; 39 steps up, 0000 (−3) is 0.46 in.
    for gauge, inches in ((36, 0.005), (-3, 0.46)):
        area_mm2 = math.pi / 4 * (inches * 25.4) ** 2
        assert awg_area_mm2(gauge) == pytest.approx(area_mm2, rel=1e-12)


def test_resistance_of_14_awg_warm_and_cold() -> None:
    # Hand calculation: ρ = 1/58, d = 1.6277 mm, × (1 + 0.00393 · ΔT).
    for celsius, milliohm in ((20, 8.2855), (40, 8.9367), (-30, 6.6574)):
        assert ohm_per_m(awg_area_mm2(14), celsius) * 1000 == pytest.approx(milliohm, rel=1e-4)


def test_temperature_factor_against_the_cable_standard() -> None:
    # IEC 60228 annex, R = R20 · (234.5 + T)/254.5; its factor list gives 75 °C → 0.820.
    for celsius in (-25, 0, 40, 75):
        assert temperature_factor(celsius) == pytest.approx((234.5 + celsius) / 254.5, rel=1e-3)
    assert 1 / temperature_factor(75) == pytest.approx(0.820, rel=4e-3)


def test_solid_copper_is_below_every_published_limit() -> None:
    # UL 1581 and IEC 60228 class 5 give the most a stranded wire may have: above IACS copper of
    # the same area, by 2 to 14 % (thin metric sizes are drawn below their nominal area).
    limited = [size for size in wire_sizes().values() if size.max_ohm_per_km is not None]
    assert len(limited) == 15
    for size in limited:
        ratio = size.max_ohm_per_km / (ohm_per_m(size.area_mm2) * 1000)
        assert 1.02 < ratio < 1.16, size.name


@pytest.mark.parametrize(
    ("gauge", "stranded_ohm_per_kft"),
    # NEC chapter 9 table 8, 75 °C, uncoated, seven strands.
    [(10, 1.24), (12, 1.98), (14, 3.14), (16, 4.99), (18, 7.95)],
)
def test_gauges_against_the_code_table(gauge: int, stranded_ohm_per_kft: float) -> None:
    ohm_per_kft = ohm_per_m(awg_area_mm2(gauge), 75) * 304.8
    # Strands lie at an angle: the table's ratio of stranded to solid is 1.023 to 1.026.
    assert stranded_ohm_per_kft / ohm_per_kft == pytest.approx(1.0245, abs=0.004)


@pytest.mark.parametrize(
    ("text", "name"),
    [("16 AWG", "16 AWG"), ("16awg", "16 AWG"), ("1.5 mm2", "1.5 mm2"), ("1.50mm²", "1.5 mm2")],
)
def test_wire_sizes_as_written(text: str, name: str) -> None:
    assert wire_area_mm2(text)[0] == name
    assert wire_size(text) is wire_sizes()[name]


@pytest.mark.parametrize("text", ["16", "AWG 16", "1.5", "1.5 mm", "25 AWG", "99 mm2", "0 mm2"])
def test_what_is_no_wire_size(text: str) -> None:
    with pytest.raises(ValueError, match="wire"):
        wire_size(text)


def test_a_size_not_listed_carries_what_the_next_thinner_does() -> None:
    size = wire_size("1.25 mm2")
    assert (size.area_mm2, size.ampacity_a) == (1.25, wire_sizes()["1 mm2"].ampacity_a)
    assert wire_size("8 AWG").ampacity_a == wire_sizes()["10 AWG"].ampacity_a


@given(st.integers(0, 24), st.integers(0, 24))
def test_thicker_wire_never_has_more_resistance(one: int, other: int) -> None:
    thick, thin = sorted((one, other))
    assert ohm_per_m(awg_area_mm2(thick)) <= ohm_per_m(awg_area_mm2(thin))
    assert wire_size(f"{thick} AWG").ampacity_a >= wire_size(f"{thin} AWG").ampacity_a


@pytest.mark.parametrize(
    ("metres", "unit", "text"),
    [
        (2.5, "m", "2.5 m"),
        (-0.0004, "m", "0 m"),
        (0.04, "cm", "4 cm"),
        (0.0127, "mm", "12.7 mm"),
        # 9 ft = 2743.2 mm; 6 1/2 in = 165.1 mm
        (2.9083, "ft", "9 ft 6 1/2 in"),
        (2.7432, "ft", "9 ft"),
        (-0.9652, "ft", "-3 ft 2 in"),
        (0.0127, "ft", "1/2 in"),
        (0.0, "ft", "0 in"),
        (3.6575, "ft", "12 ft"),  # a tenth of a millimetre less: never 11 ft 12 in
        (0.1651, "in", "6 1/2 in"),
        (1.2192, "in", "48 in"),
    ],
)
def test_a_length_as_it_is_read(metres: float, unit: str, text: str) -> None:
    assert length_text(metres, unit) == text


@given(st.floats(-100, 100), st.sampled_from(list(METRES)))
def test_a_length_told_can_be_written_again(metres: float, unit: str) -> None:
    # half of the last digit shown: 1 mm of metres, 0.1 mm of mm and cm, 1/8 in of feet and inches
    step = {"m": 1e-3, "cm": 1e-4, "mm": 1e-4, "ft": 0.003175, "in": 0.003175}[unit]
    assert length_m(length_text(metres, unit)) == pytest.approx(metres, abs=step / 2 + 1e-9)


def test_a_length_is_not_the_area_of_a_wire() -> None:
    # π/4 · 2² = 3.14
    with pytest.raises(
        ValueError, match=r"write '2 mm2', or '3.1 mm2' if the copper is 2 mm across"
    ):
        wire_area_mm2("2 mm")
