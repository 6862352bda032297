"""What LEDs warm themselves by, and what a kind's own sheet says of temperature."""

from types import SimpleNamespace

import numpy as np
import pytest

from layouts import InputError, house_from
from layouts.warming import Warming
from sim.report.wording import sentence
from sim.upkeep.own_warming import channel_k_per_w, own_warming
from sim.upkeep.rates import usual_rates
from sim.upkeep.weather import channels_at, kind_at
from sim.upkeep.weather_findings import warming_findings

RATES = usual_rates()


def heat(h: float, mm: float, die: float = 0.0):
    changed = {"w_m2k": [h, h], "outline_mm": {"bare": [mm, mm]}, "die_k_per_w": [die, die]}
    return RATES.model_copy(update={"heat": RATES.heat.model_copy(update=changed)})


def use(watts_per_m: float, house=None, name: str = "eave"):
    """A run of 2 m and 120 pixels that takes so many watts a metre at 5 V."""
    run = SimpleNamespace(name=name, length_m=2.0, pitch_m=1 / 60, present=120,
                          profile=SimpleNamespace(name="bare"))  # fmt: skip
    return SimpleNamespace(run=run, mean_a=watts_per_m * 2 / 5, feed_v=5.0)


@pytest.mark.parametrize(
    ("h", "mm", "ohm"),  # R' = 1/(h·P) [calc]
    [(10, 40, 2.5), (6, 40, 4.17), (10, 60, 1.67), (8, 100, 1.25)],
)
def test_a_metre_of_channel(h, mm, ohm):
    assert channel_k_per_w(heat(h, mm).heat, "bare") == pytest.approx((ohm, ohm), abs=4e-3)


@pytest.mark.parametrize(
    ("h", "watts", "kelvin"),  # P = 40 mm: 4.8 / 9.6 / 14.4 W/m [calc]
    [(10, 4.8, 12), (10, 9.6, 24), (10, 14.4, 36), (6, 4.8, 20), (6, 9.6, 40), (6, 14.4, 60)],
)
def test_watts_a_metre_over_the_air(h, watts, kelvin):
    (found,) = own_warming([use(watts)], heat(h, 40))
    assert found.watts_per_m == pytest.approx(watts)
    assert found.channel_k == pytest.approx((kelvin, kelvin), rel=1e-9)


def test_the_package_comes_on_top():
    # 9.6 W/m at 60 pixels a metre is 0.16 W a pixel: 95 K/W makes 15.2 K of it [calc]
    (found,) = own_warming([use(9.6)], heat(10, 40, die=95))
    assert found.led_k[1] - found.channel_k[1] == pytest.approx(15.2)


def test_the_usual_range_holds_the_figures_of_every_channel():
    for profile in RATES.heat.outline_mm:
        low, high = channel_k_per_w(RATES.heat, profile)
        assert 0 < low < high
    # a profile that nobody knows has the widest range
    assert channel_k_per_w(RATES.heat, "?") == pytest.approx((1 / 1.2, 10.0))


def test_a_hot_channel_is_told():
    kind = SimpleNamespace(name="sk6812")
    watched = SimpleNamespace(rig=SimpleNamespace(house=SimpleNamespace(
        run=lambda _: SimpleNamespace(kind=kind))))  # fmt: skip
    warming = own_warming([use(14.4)], heat(10, 40))
    (found,) = warming_findings(watched, warming, 60.0, RATES)  # 60 + 36 K, rated to 85
    assert (found.level, found.value, found.limit) == ("warning", pytest.approx(96.0), 85.0)
    assert "36 to 36 K" in sentence(found)
    assert not list(warming_findings(watched, warming, 40.0, RATES))


HOUSE = {
    "format": "evenfall-house/1",
    "name": "Small",
    "drawing": {"size": [6, 4]},
    "runs": [
        {"name": "a", "pixels": "mine", "path": [[1, 3], [2, 3]]},
        {"name": "b", "pixels": "sk6812", "path": [[1, 2], [2, 2]]},
    ],
}


def house(warm):
    return house_from({**HOUSE, "kinds": {
        "theirs": {"like": "sk6812", "warm": {"r": {"vf_mv_per_k": 1.9, "t1_k": [80, 90]}}},
        "mine": {"like": "theirs", "warm": warm},
    }})  # fmt: skip


def test_a_kind_says_what_temperature_does_to_it():
    made = house({"r": {"vf_mv_per_k": 2.0}, "g": {"t1_k": [400.0, 400.0]}})
    kind = made.runs[0].kind
    assert kind.warm == {"r": Warming(2.0, (80.0, 90.0)), "g": Warming(None, (400.0, 400.0))}
    cold = kind_at(kind, -25.0, RATES, "most")
    # +50 K · 2 mV/K, and exp(50/80); green exp(50/400); blue as usual, exp(50/600)
    assert cold.channels[0].vf_v - kind.channels[0].vf_v == pytest.approx(0.1)
    ratio = [c.flux_lm / k.flux_lm for c, k in zip(cold.channels, kind.channels, strict=True)]
    assert ratio == pytest.approx(np.exp([50 / 80, 50 / 400, 50 / 600]))


def test_kinds_that_differ_are_told_apart():
    made = house({})
    told = [each.channel for each in channels_at(made, 0.0, RATES)]
    assert told == ["r of mine", "r of sk6812", "g", "b"]


@pytest.mark.parametrize(
    ("warm", "said"),
    [
        ({"w": {"t1_k": [90, 100]}}, "channel w that kind 'mine' has not"),
        ({"r": {"t1_k": [100, 90]}}, "write the lower end first"),
        ({"r": {"t1_k": [1, 90]}}, "t1_k"),
        ({"r": {"vf_mv_per_k": -2.0}}, "vf_mv_per_k"),
        ({"r": {"t1": [90, 100]}}, "t1_k"),
        ({"q": {}}, "q"),
    ],
)
def test_what_makes_no_sense_is_refused_at_its_place(warm, said):
    with pytest.raises(InputError) as refused:
        house(warm)
    assert said in str(refused.value)
    assert "warm" in str(refused.value)
