"""Kinds whose current is set: steps, light, and the way back into a file."""

from collections.abc import Callable

import pytest

from layouts import House, change, house_from, kinds, with_kind
from layouts.entries import house_data
from layouts.kind_extras import at_current

Refused = Callable[[str], list[str]]
HEAD = "format: evenfall-house/1\nname: t\ndrawing: {size: [10, 5]}\n"


def made(kind: str = "tm1814-12v-rgbw", **run: object) -> House:
    entry = {"name": "a", "pixels": kind, "path": [[0, 3], [1, 3]], **run}
    return house_from({"name": "t", "drawing": {"size": [10, 5]}, "runs": [entry]})


@pytest.mark.parametrize("step", [0, 1, 31, 63])
def test_the_steps_of_the_sheet(step: int) -> None:
    # TM1814 V1.0: 64 steps, I = 6.5 + 0.5·n mA
    ma = 6.5 + 0.5 * step
    kind = made(set_ma=ma).runs[0].kind
    assert [channel.current_ma for channel in kind.channels] == pytest.approx([ma] * 4)
    assert kind.settable is not None
    assert kind.settable.nearest(100) == 38


def test_light_goes_with_the_current() -> None:
    sold, kind = kinds()["tm1814-12v-rgbw"], made(set_ma=45 / 4 + 0.25).runs[0].kind
    for channel in sold.channels:
        other = kind.channel(channel.name)
        assert other is not None
        assert other.flux_lm / channel.flux_lm == pytest.approx(11.5 / 22.5)
    assert kind.channels[0].vf_v == sold.channels[0].vf_v
    assert (kind.sources or {})["channels.r.lm"] == "set to 11.5 mA, 0.511 of the row's [calc]"


def test_brightness_of_a_clocked_part_is_its_current() -> None:
    # SK9822: I·g/31; g 9 of 18 mA is the 5.226 mA that its small package is allowed for ever.
    kind = made("sk9822", set_ma=5.23).runs[0].kind
    assert kind.channels[0].current_ma == pytest.approx(18 * 9 / 31, rel=1e-5)
    small = kinds()["sk9822-2020"]
    assert small.channels[0].current_ma == pytest.approx(18 * 9 / 31, rel=1e-4)
    full = at_current(small, 18)
    # its sheet: R 0.8–2.0, G 2.0–3.5, B 0.5–1.5 lm
    assert [c.flux_lm for c in full.channels] == pytest.approx([1.4, 2.75, 1.0], rel=2e-3)


def test_what_cannot_be_set_is_refused(refused: Refused) -> None:
    run = "runs:\n  - {name: a, pixels: %s, path: [[0, 3], [1, 3]], set_ma: ¶%s}\n"
    assert refused(HEAD + run % ("tm1814-12v-rgbw", "22.7")) == [
        "¶ kind 'tm1814-12v-rgbw' cannot be set to 22.7 mA; the nearest it can be set to is 22.5 mA"
    ]
    assert refused(HEAD + run % ("tm1814-12v-rgbw", "50"))[0].endswith("set to is 38 mA")
    assert refused(HEAD + run % ("ws2815", "10")) == [
        "¶ the current of kind 'ws2815' is fixed;"
        " leave set_ma out, or choose a kind that can be set"
    ]


def test_it_is_written_as_it_was(house: Callable[[str], House]) -> None:
    text = "runs: [{name: a, pixels: tm1814-12v-rgbw, path: [[0, 3], [1, 3]], set_ma: 30 mA}]\n"
    read = house(HEAD + text)
    run = house_data(read)["runs"][0]
    assert (run["pixels"], run["set_ma"]) == (kinds()["tm1814-12v-rgbw"], 30)
    again = house_from(house_data(read))
    assert again.runs[0].kind == read.runs[0].kind
    warm = change(read, temperature_c=30)
    assert warm.runs[0].kind == read.runs[0].kind
    assert list(warm.kinds) == list(kinds())


def test_another_kind_has_its_own_current() -> None:
    other = with_kind(made(set_ma=30), kinds()["ws2814-12v-rgbw"])
    assert other.runs[0].kind == kinds()["ws2814-12v-rgbw"]
    same = with_kind(other, made(set_ma=30).runs[0].kind)
    assert same.runs[0].kind.set_ma == 30
    for keep in ("metres", "pixels"):
        kept = with_kind(made(set_ma=30), kinds()["tm1814-12v-rgbw"], keep=keep)
        assert kept.runs[0].kind.set_ma == 30
    changed = change(made(set_ma=30), runs={"a": {"set_ma": None}})
    assert changed.runs[0].kind == kinds()["tm1814-12v-rgbw"]


def test_a_set_kind_that_grows_old_stays_set() -> None:
    from sim.upkeep.ageing import aged
    from sim.upkeep.rates import load_rates

    new = made(set_ma=30)
    old = aged(new, 5, load_rates(None)).house
    again = change(old, temperature_c=5)
    for house in (old, again):
        red, before = house.runs[0].kind.channels[0], new.runs[0].kind.channels[0]
        assert red.current_ma == 30
        assert 0 < red.flux_lm < before.flux_lm
    assert again.runs[0].kind.channels == old.runs[0].kind.channels
