"""Prices beside a house file."""

from __future__ import annotations

from pathlib import Path

import pytest

import layouts
from layouts import InputError
from sim.report.prices import load_prices

DEMO = Path(__file__).parents[2] / "demo"
HOUSE = """\
format: evenfall-house/1
name: test house
drawing: {size: [10, 5], viewer: 10, surfaces: []}
runs:
  - {name: eave, pixels: ws2813, path: [[0, 3], [5, 3]], count: 100}
  - {name: hedge, pixels: ws2811-12v-group3, path: [[0, 1], [5, 1]], count: 20}
"""
HEAD = "format: evenfall-prices/1\ncurrency: EUR\nkinds:\n"


@pytest.fixture
def house(tmp_path):
    path = tmp_path / "house.yaml"
    path.write_text(HOUSE)
    return layouts.load_house(path)


def _load(house, text: str):
    Path(house.file).with_name("prices.yaml").write_text(text)
    return load_prices(house, layouts.kinds())


def test_without_a_file_there_are_no_prices(house):
    assert load_prices(house, layouts.kinds()) is None


def test_the_pixels_of_a_house_are_added_up(house):
    rows = "  ws2813: {per_metre: 9.0}\n  ws2811-12v-group3: {per_pixel: 0.5}\n"
    pitch_m = layouts.kinds()["ws2813"].pitch_m
    found = _load(house, HEAD + rows)
    assert found.currency == "EUR"
    assert found.of(house) == pytest.approx(100 * 9.0 * pitch_m + 20 * 0.5)


def test_a_kind_without_price_makes_the_sum_unknown(house):
    assert _load(house, HEAD + "  ws2813: {per_metre: 9.0}\n").of(house) is None


@pytest.mark.parametrize(
    ("rows", "said"),
    [
        ("  sk6821: {per_pixel: 1}\n", "4:3: unknown kind 'sk6821'; did you mean 'sk6812'?"),
        (
            "  ws2813: {per_pixel: 1, per_metre: 2}\n",
            "4:3: 'ws2813' has two prices; write per_pixel or per_metre",
        ),
        ("  ws2813: {}\n", "4:3: 'ws2813' has no price; write per_pixel or per_metre"),
        ("  ws2813: {per_pixel: -1}\n", "4:23: "),
        ("  ws2813: {per_pxel: 1}\n", "4:12: unknown key 'per_pxel'; did you mean 'per_pixel'?"),
        ("  ws2813: {per_pixel: .inf}\n", "4:23: "),
    ],
)
def test_wrong_prices_are_refused_with_their_place(rows, said, house):
    with pytest.raises(InputError) as refusal:
        _load(house, HEAD + rows)
    assert f"prices.yaml:{said}" in str(refusal.value)


@pytest.mark.parametrize("name", ["cottage", "townhouse", "bungalow"])
def test_demo_prices_load_and_say_that_they_are_invented(name):
    house = layouts.load_house(DEMO / name / "house.yaml")
    prices = load_prices(house, layouts.kinds())
    assert prices is not None
    assert "invented" in prices.note
    assert set(prices.per_pixel) == set(layouts.kinds())


def test_a_parts_file_prices_pixels_where_there_is_no_price_file(house):
    folder = Path(house.file).parent
    (folder / "parts.yaml").write_text(
        "format: evenfall-parts/1\ncurrency: CHF\nnote: invented\nkinds:\n"
        "  ws2813: {reel: 5 m, price: 45}\n  ws2811-12v-group3: {nodes: 50, price: 25}\n"
    )
    found = load_prices(house, layouts.kinds())
    assert (found.currency, found.note) == ("CHF", "invented")
    # 45 for 5 m are 9 a metre; 25 for 50 pixels are 0.5 each.
    pitch_m = layouts.kinds()["ws2813"].pitch_m
    assert found.of(house) == pytest.approx(100 * 9.0 * pitch_m + 20 * 0.5)
    # A price file, where there is one, counts before it.
    assert _load(house, HEAD + "  ws2813: {per_metre: 1}\n").currency == "EUR"


def test_a_parts_file_without_prices_of_pixels_gives_none(house):
    folder = Path(house.file).parent
    (folder / "parts.yaml").write_text("format: evenfall-parts/1\nkerf: 2 mm\n")
    assert load_prices(house, layouts.kinds()) is None
