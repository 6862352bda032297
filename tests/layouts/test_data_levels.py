"""Levels of the data line in a kind: as written, inherited, or what follows from its supply."""

import pytest

from layouts import house_data, house_from
from layouts.errors import InputError
from layouts.logic import LogicLevel, logic_level


def house(kind: dict):
    return house_from(
        {
            "name": "one run",
            "drawing": {"size": [10, 5]},
            "kinds": {"mine": kind},
            "runs": [{"name": "a", "pixels": "mine", "path": [[0, 1], [1, 1]]}],
        }
    )


@pytest.mark.parametrize(
    ("text", "level"),
    [
        ("0.7 vdd", LogicLevel(0.7, True)),
        ("2.7 V", LogicLevel(2.7, False)),
        (" .5VDD ", LogicLevel(0.5, True)),
    ],
)
def test_a_level(text: str, level: LogicLevel) -> None:
    assert logic_level(text) == level


@pytest.mark.parametrize("text", ["0.7", "high", "1.2 vdd", "0 V", "-1 V", "61 V", 0.7, None])
def test_what_is_no_level(text: object) -> None:
    with pytest.raises(ValueError, match=r"is not a level of data|is out of range"):
        logic_level(text)


def test_a_kind_says_one_and_inherits_the_others() -> None:
    kind = house({"like": "ws2812b", "data": {"high": "2.7 V"}}).run("a").kind
    assert kind.data_high == LogicLevel(2.7, False)
    assert kind.data_low == LogicLevel(0.3, True)
    assert kind.sources is not None
    assert kind.sources["data.high"] == "written in the house file"
    assert "0.3 VDD" in kind.sources["data.low"]


def test_it_comes_back_from_the_house() -> None:
    made = house({"like": "ws2812b", "data": {"low": "0.8 V"}})
    assert house_from(house_data(made)).run("a").kind == made.run("a").kind


def test_a_wrong_level_is_told() -> None:
    with pytest.raises(InputError, match="'much' is not a level of data"):
        house({"like": "ws2812b", "data": {"high": "much"}})
    with pytest.raises(InputError, match="unknown key 'hihg'; did you mean 'high'"):
        house({"like": "ws2812b", "data": {"hihg": "2.7 V"}})
