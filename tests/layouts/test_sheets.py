"""The catalogue's electrical rows against the makers' sheets, entered a second time by hand."""

from __future__ import annotations

import pytest

from layouts import kinds

# Worldsemi WS2812B (EN 2013), WS2813 (CN), WS2815 V1.1, WS2811; Normand SK6812 Rev 06 and
# SK6812RGBW Rev 07: least supply [V], current of a channel [mA], idle [mA] (None: not stated),
# bits, reset [µs], order on the line, PWM [Hz], backup data, distance between pixels [m].
# WS2812B-V5: current, idle, reset, PWM as others quote the sheet.
SHEETS = {
    "ws2812b": (3.5, 20, None, 24, 50, "grb", 400, False, 3),
    "ws2812b-v5": (3.7, 12, 0.6, 24, 280, "grb", 2000, False, 3),
    "ws2813": (3.5, 16, 0.7, 24, 300, "grb", 2000, True, 5),
    "ws2815": (9.5, 15, 2.1, 24, 280, "grb", 2000, True, 5),
    "ws2811-12v-group3": (None, 18.5, None, 24, 50, "rgb", 400, False, 10),
    "sk6812": (3.5, 12, 1.0, 24, 80, "grb", 1200, False, 10),
    "sk6812-rgbw-warm": (3.7, 9, 1.0, 32, 80, "grbw", 1200, False, 10),
    "sk6812-rgbw-neutral": (3.7, 9, 1.0, 32, 80, "grbw", 1200, False, 10),
    "sk6812-rgbw-cool": (3.7, 9, 1.0, 32, 80, "grbw", 1200, False, 10),
}
# Dominant wavelengths [nm] as the same sheets bin them: red, green, blue.
BINS_NM = {
    "ws2812b": ((620, 625), (522, 525), (465, 467)),
    "ws2813": ((620, 625), (515, 525), (465, 475)),
    "ws2815": ((620, 625), (515, 525), (465, 475)),
    "sk6812": ((620, 630), (520, 535), (460, 475)),
    "sk6812-rgbw-warm": ((620, 630), (515, 530), (460, 475)),
}
# SK6812 Rev 06, SK6812RGBW Rev 07: lumens of a channel, least and most.
LUMENS = {
    "sk6812": ((1.0, 2.0), (3.0, 4.0), (0.5, 1.0)),
    "sk6812-rgbw-warm": ((0.5, 1.5), (2.0, 3.0), (0.5, 1.0), (5.5, 6.5)),
}
# SK6812RGBW Rev 07: bins of white [K].
WHITE_K = {
    "sk6812-rgbw-warm": (2700, 3200),
    "sk6812-rgbw-neutral": (3800, 4500),
    "sk6812-rgbw-cool": (5500, 10_000),
}


@pytest.mark.parametrize("name", SHEETS)
def test_electrical_and_data_cells(name: str) -> None:
    kind, (min_v, channel_ma, idle_ma, *data) = kinds()[name], SHEETS[name]
    assert min_v is None or kind.min_v == min_v
    assert idle_ma is None or kind.idle_ma == idle_ma
    colours = [channel for channel in kind.channels if channel.name != "w"]
    assert {channel.current_ma for channel in colours} == {channel_ma}
    found = (kind.bits, kind.reset_us, kind.order, kind.pwm_hz, kind.backup_data, kind.data_hop_m)
    assert found == tuple(data)
    assert kind.bit_us == 1.25  # 800 kbit/s, all sheets


@pytest.mark.parametrize("name", BINS_NM)
def test_wavelength_bins(name: str) -> None:
    bins = kinds()[name].dominant_bins_nm
    assert bins is not None
    assert tuple(bins[channel] for channel in "rgb") == BINS_NM[name]


@pytest.mark.parametrize("name", LUMENS)
def test_lumens_are_the_middle_of_their_cells(name: str) -> None:
    found = [channel.flux_lm for channel in kinds()[name].channels]
    assert found == pytest.approx([(low + high) / 2 for low, high in LUMENS[name]])


@pytest.mark.parametrize("name", WHITE_K)
def test_white_lies_in_its_bin(name: str) -> None:
    white = kinds()[name].channel("w")
    assert white is not None
    assert white.cct_k is not None
    low, high = WHITE_K[name]
    assert low <= white.cct_k <= high


def test_what_the_sheets_leave_open_is_said() -> None:
    assert "states no current" in kinds()["ws2812b"].note
    assert "were not seen" in kinds()["ws2812b-v5"].note
    assert "0.18 W" in kinds()["ws2815"].note
    assert "contradicts its own 5.5–6.5 lm" in kinds()["sk6812-rgbw-warm"].note
