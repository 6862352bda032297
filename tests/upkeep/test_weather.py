"""Cold and heat: volts, light and colour by channel, and what parts are rated for."""

from __future__ import annotations

import json
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from effects import bind, load_scheme
from layouts import house_from, kinds, load_house
from layouts.errors import InputError
from layouts.finding import Finding
from sim.circuit import build, solve
from sim.frame import rig, rig_for
from sim.report.weather_ends import with_ends
from sim.report.wording import finding_json, sentence
from sim.scan import scan
from sim.upkeep.rates import load_rates, usual_rates
from sim.upkeep.weather import channels_at, flux_ratio, forward_v, house_at, kind_at, rig_at
from sim.upkeep.weather_findings import weather_findings

ROOT = Path(__file__).resolve().parents[2]

RATES = usual_rates()


def textbook():
    """T₁ of the textbook alone: 95, 295 and 1600 K."""
    t1 = {"r": [95.0, 95.0], "g": [295.0, 295.0], "b": [1600.0, 1600.0]}
    channels = {
        name: each.model_copy(update={"t1_k": t1.get(name, each.t1_k)})
        for name, each in RATES.channels.items()
    }
    return RATES.model_copy(update={"channels": channels})


@pytest.mark.parametrize(
    ("channel", "expected"),
    [  # Φ(T)/Φ(25 °C) at −25, −10, 0, 40, 60 °C with T₁ 95 / 295 / 1600 K [calc]
        ("r", [1.693, 1.445, 1.301, 0.854, 0.692]),
        ("g", [1.185, 1.126, 1.088, 0.950, 0.888]),
        ("b", [1.032, 1.022, 1.016, 0.991, 0.978]),
    ],
)
def test_light_against_25_degrees(channel, expected):
    found = [flux_ratio(channel, celsius, textbook()) for celsius in (-25, -10, 0, 40, 60)]
    assert found == pytest.approx(expected, abs=6e-4)


def test_cold_nights_look_pink():
    # red/blue × 1.64 at −25 °C and × 0.71 at 60 °C [calc]
    cold, hot = (
        flux_ratio("r", celsius, textbook()) / flux_ratio("b", celsius, textbook())
        for celsius in (-25, 60)
    )
    assert (cold, hot) == pytest.approx((1.64, 0.71), abs=0.005)


def test_a_range_has_its_middle_inside():
    for celsius in (-30.0, 0.0, 25.0, 60.0):
        for channel in "rgbw":
            ends = [flux_ratio(channel, celsius, RATES, e) for e in ("least", "middle", "most")]
            assert ends == sorted(ends)
    # slopes at 25 °C: red −1.05, green −0.34 to −0.2, blue −0.06 to −0.17 %/K [calc]
    slope = {c: [100 * (flux_ratio(c, 25.01, RATES, e) - 1) / 0.01 for e in ("least", "most")]
             for c in "rgb"}  # fmt: skip
    assert slope["r"] == pytest.approx([-1.05, -1.05], abs=0.005)
    assert slope["g"] == pytest.approx([-0.34, -0.2], abs=0.005)
    assert slope["b"] == pytest.approx([-0.17, -0.06], abs=0.005)


def test_forward_volts_rise_in_the_cold():
    # a maker's power LEDs (DS144): 1.6, 2.4, 2.6 mV/K, so +0.08, +0.12, +0.13 V at −25 °C [calc]
    added = [forward_v(channel, 0.0, -25, RATES) for channel in "rgb"]
    assert added == pytest.approx([0.08, 0.12, 0.13], abs=1e-9)
    # three dies in series rise three times as much
    group = kinds()["ws2811-12v-group3"]
    cold = kind_at(group, -25, RATES)
    assert cold.channel("r").vf_v - group.channel("r").vf_v == pytest.approx(0.24)


def shed(kind: str = "ws2812b-v5", **supply):
    return house_from(
        {
            "name": "shed",
            "drawing": {"size": ["6 m", "4 m"]},
            "runs": [{"name": "left", "pixels": kind, "path": [["0 m", "2 m"], ["2 m", "2 m"]]}],
            "supplies": [{"name": "box", "volts": 5, "amps": 5, **supply}],
            "wires": [{"from": "box", "to": "left.start", "wire": "14 AWG", "length": "1 m",
                       "fuse": 5}],
        }
    )  # fmt: skip


def test_the_circuit_has_the_volts_of_the_cold():
    # ws2812b: green at VF 3.2 V with 0.5 V of headroom is full from 3.7 V up; at −25 °C from
    # 3.82 V. At 3.6 V on one pixel: dim (3.6 − 3.2)/0.5 = 0.8, and (3.6 − 3.32)/0.5 = 0.56 [calc]
    house = house_from(
        {
            "name": "one",
            "drawing": {"size": ["6 m", "4 m"]},
            "runs": [{"name": "a", "pixels": "ws2812b", "count": 2,
                      "path": [["0 m", "2 m"], ["1 m", "2 m"]]}],
            "supplies": [{"name": "box", "volts": 3.6, "amps": 5}],
            "wires": [{"from": "box", "to": "a.start", "wire": "10 AWG", "length": "1 mm"}],
        }
    )  # fmt: skip
    codes = np.zeros((1, 2, 4), dtype=np.uint8)
    codes[..., 1] = 1
    warm, cold = (solve(build(house_at(house, t, RATES)), codes).dim[0, 0, 1] for t in (25, -25))
    assert warm == pytest.approx(0.8, abs=2e-3)
    assert cold == pytest.approx(0.56, abs=2e-3)


def test_at_25_degrees_nothing_changes_but_the_copper():
    house = shed()
    again = house_at(house, 25.0, RATES)
    assert [run.kind for run in again.runs] == [run.kind for run in house.runs]
    assert again.temperature_c == 25.0


def test_the_codes_stay_those_of_the_sheet():
    made = rig(shed())
    assert rig_at(made, -20, RATES).mixer is made.mixer


def test_what_is_too_cold_and_too_hot():
    house = shed(amps=1.2)
    lit = bind(house, scheme_of(house))
    watched = scan(rig_for(house, lit.scheme), lit, seconds=1)
    cold = {each.code for each in weather_findings(watched, -30, RATES)}
    assert cold == {"kind-out-of-range", "supply-cold-start", "jacket-out-of-range"}
    assert weather_findings(watched, 10, RATES) == ()
    hot = {each.code: each for each in weather_findings(watched, 60, RATES)}
    # 80 % at 60 °C, straight between 100 % at 50 and 60 % at 70 °C
    assert hot["supply-too-warm"].limit == pytest.approx(0.8 * 0.8)
    assert hot["supply-too-warm"].level == "danger"
    assert "keeps 80%" in sentence(hot["supply-too-warm"])


def scheme_of(house):
    import tempfile
    from pathlib import Path

    path = Path(tempfile.mkdtemp()) / "white.scheme.yaml"
    path.write_text(
        "format: evenfall-scheme/1\nname: white\ncolour: raw\nbrightness: 1\nlayers:\n"
        "  - {zones: [all], effect: steady, palette: ['#ffffff']}\n",
        encoding="utf-8",
    )
    return load_scheme(path, house)


def test_every_rate_has_its_source():
    from fnmatch import fnmatchcase

    data = RATES.model_dump(exclude={"format", "sources"})
    leaves = [
        f"{top}.{name}.{leaf}" if isinstance(inner, dict) else f"{top}.{name}"
        for top, rows in data.items()
        for name, inner in rows.items()
        for leaf in (inner if isinstance(inner, dict) else [""])
    ]
    for leaf in leaves:
        assert any(fnmatchcase(leaf, pattern) for pattern in RATES.sources), leaf
    assert all(text.rstrip().endswith(("]", "carried as a range", "evening"))
               for text in RATES.sources.values())  # fmt: skip


def test_rates_of_ones_own(tmp_path):
    path = tmp_path / "mine.yaml"
    path.write_text("format: evenfall-rates/1\nrated: {sk6812: [-20, 40]}\n", encoding="utf-8")
    mine = load_rates(path)
    assert mine.rated_c("sk6812-rgbw-warm") == (-20, 40)
    assert mine.rated_c("ws2815") == (-25, 85)
    assert mine.rated_c("no-such") is None
    path.write_text("format: evenfall-rates/1\ndirt: {share_per_year: [0.2, 0.1]}\n", "utf-8")
    with pytest.raises(InputError, match="lower end first"):
        load_rates(path)


def test_power_tells_both_ends(run, demo):
    house, scheme = f"{demo}/cottage/house.yaml", f"{demo}/cottage/evening.scheme.yaml"
    told = run("power", house, scheme, "--seconds", "1s", "--between", "-20", "50", "--json")
    ends = json.loads(told.stdout)["temperatures"]
    assert [end["celsius"] for end in ends] == [-20, 50]
    # α = 0.00393 /K: 1 − 0.1572 and 1 + 0.1179
    assert [end["copper"] for end in ends] == pytest.approx([0.8428, 1.1179])
    assert ends[0]["red_to_blue_band"][0] > 1 > ends[1]["red_to_blue_band"][1]
    assert "temperatures" not in json.loads(
        run("power", house, scheme, "--seconds", "1s", "--json").stdout
    )


@pytest.mark.parametrize(
    ("flags", "said"),
    [
        (["--between", "30", "-20"], "coldest first"),
        (["--between", "-20", "30", "--temperature", "5"], "give one"),
        (["--rates", "x.yaml"], "give one of them"),
        (["--temperature", "-90"], "-50"),
    ],
)
def test_power_refuses_what_makes_no_sense(run, demo, flags, said):
    house, scheme = f"{demo}/cottage/house.yaml", f"{demo}/cottage/evening.scheme.yaml"
    told = run("power", house, scheme, *flags)
    assert told.exit_code == 2
    assert said in told.stderr


def test_channels_of_the_house_are_told():
    house = load_house(ROOT / "demo/bungalow/house.yaml")
    assert [each.channel for each in channels_at(house, 0, RATES)] == ["r", "g", "b"]


def _end(celsius, weather=(), power=()):
    return SimpleNamespace(celsius=celsius, findings=weather, power=SimpleNamespace(findings=power))


def test_findings_say_at_which_end_they_hold():
    base = [Finding("note", "voltage-drop", "a, b", elements=("a", "b"))]
    cold = Finding("warning", "supply-cold-start", "House", value=-30.0, limit=-25.0)
    graver = Finding("warning", "voltage-drop", "a", elements=("a",))
    farther = Finding("note", "voltage-drop", "a, c", elements=("a", "c"))
    both = Finding("note", "wire-load", "w")
    ends = [_end(-30.0, (cold,), (*base, both)), _end(60.0, (), (graver, farther, both))]
    found = {(f.level, f.code, f.where): f for f in with_ends(base, ends)}
    at = {key: f.detail.get("at_c") for key, f in found.items()}
    assert at == {
        ("note", "voltage-drop", "a, b"): None,
        ("warning", "supply-cold-start", "House"): (-30.0,),
        ("warning", "voltage-drop", "a"): (60.0,),
        ("note", "voltage-drop", "a, c"): (60.0,),
        ("note", "wire-load", "w"): (-30.0, 60.0),
    }
    assert sentence(found[("warning", "supply-cold-start", "House")]).startswith("at -30 °C: ")
    assert finding_json(found[("warning", "supply-cold-start", "House")])["at_c"] == (-30.0,)
    assert "at_c" not in finding_json(cold)


@pytest.mark.parametrize(
    ("name", "in_series"),
    [
        ("ws2812b", 1),  # a die a channel
        ("ws2815", 1),  # three dies in series, one of each channel: each shifts by its own
        ("ws2818-12v", 1),  # the same, lit in turn
        ("ws2811-12v-group3", 3),
        ("point-3-12v", 3),
        ("point-4-12v", 2),  # two in series, twice: 4.0 and 6.4 V, not 8.0 and 12.8
        ("point-4-24v", 2),
        ("ws2811-24v-group6", 6),
    ],
)
def test_forward_volts_shift_by_the_dies_in_series(name, in_series):
    kind = kinds()[name]
    cold = kind_at(kind, -25, RATES)
    for each in kind.channels:
        # 50 K colder: dies in series · k · 50 K, whatever stands beside them
        want = in_series * forward_v(each.name, 0.0, -25, RATES)
        assert cold.channel(each.name).vf_v - each.vf_v == pytest.approx(want)
    # ΣVF of what is in series over all channels, as `sim.circuit.law` has it: 1.6 + 2.4 + 2.6 mV/K
    if kind.law in ("series", "staggered"):
        total = sum(c.vf_v for c in cold.channels) - sum(c.vf_v for c in kind.channels)
        assert total == pytest.approx(50 * 6.6e-3)
