"""Rows of bullets, points and strips of 12 and 24 V against figures worked out beside them."""

import pytest

from layouts import house_from, kinds
from layouts.addresses import frame_time_s
from layouts.records import Kind, Run


def run_of(name: str, count: int) -> Run:
    entry = {"name": "a", "pixels": name, "path": [[0, 3], [100, 3]], "count": count}
    house = house_from({"name": "t", "drawing": {"size": [100, 5]}, "runs": [entry]})
    return house.runs[0]


# N · bits · 1.25 µs, what stands once in a frame, and the reset: worked out from the sheets' cells.
@pytest.mark.parametrize(
    ("name", "milliseconds"),
    [("ucs8904b-24v-rgbw", 24.05), ("tm1814-12v-rgbw", 12.28), ("ws2816b", 18.28)],
)
def test_frames_of_300_pixels(name: str, milliseconds: float) -> None:
    assert frame_time_s([run_of(name, 300)]) * 1000 == pytest.approx(milliseconds, abs=0.005)


@pytest.mark.parametrize("name", ["sk9822", "sk9822-2020", "apa102"])
def test_frames_with_a_clock_line(name: str) -> None:
    # (64 + 32·300 + 300/2) bits at 1 MHz: 9.81 ms
    assert frame_time_s([run_of(name, 300)]) * 1000 == pytest.approx(9.81, abs=0.005)
    # SK9822-2020 Rev 05: "1024 at 1 MHz" give 30 frames/s; it leaves out the half bit a pixel
    seconds = frame_time_s([run_of(name, 1024)]) - 1024 / 2 * 1e-6
    assert 1 / seconds == pytest.approx(30.46, abs=0.005)


def white_a_per_m(kind: Kind) -> float:
    milliamps = sum(channel.current_ma for channel in kind.channels) + kind.idle_ma
    return milliamps / 1000 / kind.pitch_m


# What a metre draws in white, worked out from sellers' densities and the parts' currents.
@pytest.mark.parametrize(
    ("name", "amps"),
    [
        ("ws2811-12v-strip", 1.16),
        ("ws2811-24v-group6", 0.58),
        ("ucs1903-24v-group6", 0.53),
        ("ws2814-24v-rgbw", 0.66),
        ("ucs8904b-24v-rgbw", 0.70),
        ("sk9822", 3.3),
        ("sk6812-4020", 2.88),
    ],
)
def test_amperes_a_metre(name: str, amps: float) -> None:
    assert white_a_per_m(kinds()[name]) == pytest.approx(amps, abs=0.0065)


def test_dark_and_series_parts() -> None:
    # 60 dark GS8208 a metre: 0.15 A, 1.8 W; lit it draws one current, 17.5 mA and idle
    kind = kinds()["gs8208"]
    assert kind.idle_ma / kind.pitch_m / 1000 == pytest.approx(0.15)
    assert (kind.law, kinds()["ws2818-12v"].law) == ("series", "staggered")


@pytest.mark.parametrize(
    ("name", "watts"),
    # Sheets of the trade's modules: 1, 3 and 4 LEDs, and RGBW
    [("point-1-12v", 0.36), ("point-3-12v", 0.72), ("point-4-12v", 1.44), ("point-rgbw-12v", 0.96)],
)
def test_watts_of_points(name: str, watts: float) -> None:
    kind = kinds()[name]
    own_ma = 0.0 if kind.regulator is None else kind.regulator.own_ma
    drawn_ma = sum(channel.current_ma for channel in kind.channels) + kind.idle_ma + own_ma
    assert kind.supply_v * drawn_ma / 1000 == pytest.approx(watts, rel=0.04)


def test_lumens_of_groups_and_points() -> None:
    # Six RGBW dies at 16 mA: 10.7 + 26.7 + 8.0 + 34.9 = 80 lm; a point of three: 25 lm
    def lumens(name: str) -> float:
        return sum(channel.flux_lm for channel in kinds()[name].channels)

    assert lumens("ws2814-24v-rgbw") == pytest.approx(80.3, abs=0.05)
    assert lumens("point-3-12v") == pytest.approx(25.3, abs=0.05)
    assert lumens("tm1814-12v-rgbw") / 22.5 == pytest.approx(lumens("ws2814-12v-rgbw") / 16, 2e-3)


def test_every_kind_bears_what_it_is_made_for() -> None:
    for kind in kinds().values():
        assert kind.max_v is None or kind.min_v < kind.supply_v <= kind.max_v, kind.name
        assert kind.bits >= len(kind.channels) * (16 if kind.levels > 256 else 8), kind.name


@pytest.mark.parametrize(
    ("written", "said"),
    [
        ("like: ws2815, max_v: 11", "made for 12 V and bears 11 V"),
        ("like: ws2813, reset_us: 0", "no pause ends a frame"),
        ("like: ws2813, levels: 65536", "24 bits are not 16 for each of 3 channels; write 48"),
        ("like: ws2813, set_ma: {least: 9, most: 5, step: 1}", "9 mA are more than 5 mA"),
        ("like: ws2813, boots: green", "green"),
    ],
)
def test_kinds_that_make_no_sense(refused, written: str, said: str) -> None:
    text = (
        "format: evenfall-house/1\nname: t\ndrawing: {size: [10, 5]}\n"
        f"kinds: {{own: {{{written}}}}}\n"
        "runs: [{name: a, pixels: own, path: [[0, 3], [1, 3]]}]\n"
    )
    assert any(said in each for each in refused(text)), refused(text)
