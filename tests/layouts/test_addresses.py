"""Where pixels are addressed, and how long a frame takes on the wire."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts import House, addresses, frame_time_s, kinds
from layouts.addresses import _slots

HEAD = "format: evenfall-house/1\nname: T\ndrawing: {size: [60, 5]}\nruns:\n"
RUN = "  - {{name: {}, pixels: {}, path: [[0, 3], [5, 3]], count: {}}}\n"


def test_a_universe_holds_170_pixels_of_three_channels(house: Callable[[str], House]) -> None:
    # 512 slots (ANSI E1.31): floor(512 / 3) = 170, floor(512 / 4) = 128.
    text = HEAD + RUN.format("a", "ws2813", 171) + RUN.format("b", "sk6812-rgbw-warm", 100)
    text += RUN.format("c", "ws2813", 5)
    text += "outputs:\n  - {name: p, chain: [b], universe: 7, address: 500}\n"
    text += "  - {name: q, chain: [a]}\n"
    found = addresses(house(text))
    assert found.output.tolist() == [1] * 171 + [0] * 100 + [-1] * 5
    assert found.place.tolist() == [*range(171), *range(100), *[-1] * 5]
    assert found.universe[:171].max() == 0
    # Addresses 500, 504, 508 leave room for three of four slots; then a universe begins.
    assert list(zip(found.universe[171:176], found.address[171:176], strict=True)) == [
        (7, 500),
        (7, 504),
        (7, 508),
        (8, 1),
        (8, 5),
    ]


def test_chains_go_on_where_the_last_run_ends(house: Callable[[str], House]) -> None:
    text = HEAD + RUN.format("a", "ws2813", 169) + RUN.format("b", "sk6812-rgbw-warm", 129)
    text += "outputs: [{name: p, chain: [a, b], universe: 1}]\n"
    found = addresses(house(text))
    assert (found.universe[168], found.address[168]) == (1, 505)
    # 507 slots are taken; four more are 508..511, and the next pixel begins universe 2.
    assert (found.universe[169], found.address[169]) == (1, 508)
    assert (found.universe[170], found.address[170]) == (2, 1)
    assert (found.universe[297], found.address[297]) == (2, 509)
    assert found.place[169] == 169


@given(st.integers(0, 511), st.integers(1, 2000), st.sampled_from([3, 4]))
def test_no_pixel_straddles_two_universes(at: int, count: int, width: int) -> None:
    slots = _slots(at, count, width)
    assert (slots[0] >= at) & (slots % 512 + width <= 512).all()
    gaps = slots[1:] - slots[:-1]
    assert ((gaps >= width) & (gaps < 2 * width)).all()


@pytest.mark.parametrize(
    ("bits", "reset_us", "count", "milliseconds"),
    # Hand calculation, N · bits · 1.25 µs + reset: 300 RGB pixels with 50 and 280 µs, 300 RGBW
    # with 80 µs, and 1024 RGB, for which the sheet claims at least 30 frames a second.
    [(24, 50, 300, 9.05), (24, 280, 300, 9.28), (32, 80, 300, 12.08), (24, 280, 1024, 31.0)],
)
def test_frame_times(
    house: Callable[[str], House], bits: int, reset_us: int, count: int, milliseconds: float
) -> None:
    own = f"kinds: {{k: {{like: ws2813, bits: {bits}, reset_us: {reset_us}}}}}\n"
    made = house(HEAD.replace("runs:", f"{own}runs:") + RUN.format("a", "k", count))
    assert frame_time_s(made.runs) * 1000 == pytest.approx(milliseconds)


def test_frame_time_of_the_catalogue() -> None:
    # WS2812B-V5 at 40 frames a second: floor((25000 − 280) / 30) = 824 pixels; SK6812 RGBW 623.
    for name, most in (("ws2812b-v5", 824), ("sk6812-rgbw-warm", 623)):
        kind = kinds()[name]
        assert int((25_000 - kind.reset_us) / (kind.bits * kind.bit_us)) == most


def test_the_longest_reset_on_a_chain_counts(house: Callable[[str], House]) -> None:
    """Two runs of one pixel on one output, with resets of 280 and 50 µs, whichever comes first."""
    kinds_ = ("late: {like: ws2813, reset_us: 280}", "early: {like: ws2813, reset_us: 50}")
    own = f"kinds: {{{', '.join(kinds_)}}}\n"
    runs = RUN.format("a", "late", 1) + RUN.format("b", "early", 1)
    made = house(HEAD.replace("runs:", f"{own}runs:") + runs)
    # 2 pixels of 24 bits of 1.25 µs: 60 µs of bits (data sheets' timing)
    for chain in (made.runs, made.runs[::-1]):
        assert frame_time_s(chain) == pytest.approx(340e-6)
