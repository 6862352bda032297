"""Flash findings of schemes on a house, and the slowing that they advise."""

import math
from pathlib import Path

import pytest

from effects import Layer, Scheme, effects, load_scheme
from layouts import load_house
from sim.report.flash import flash_findings
from sim.report.flash_remedy import _at_pace as at_pace
from sim.report.flash_remedy import _rounded as rounded
from sim.report.flash_remedy import slowest_needed
from sim.report.flashing import watch_flash
from sim.report.wording import sentence

HOUSE = """\
format: evenfall-house/1
name: Wall
drawing:
  size: [6, 3]
  viewer: 6
  surfaces:
    - {name: wall, material: render-white, depth: 0, outline: [[0, 0], [6, 0], [6, 3], [0, 3]]}
runs:
  - {name: eave, pixels: ws2813, path: [[0.5, 2.6], [5.5, 2.6]], aim: 45, standoff: 0.05}
"""
DEMO = Path(__file__).parents[2] / "demo"


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    path = tmp_path_factory.mktemp("wall") / "house.yaml"
    path.write_text(HOUSE)
    return load_house(path)


def scheme(*layers, **rest):
    return Scheme("Test", "test.scheme.yaml", layers, **{"fps": 24.0, **rest})


def wave(rate_hz, colour="#ffffff", length_m=3.0):
    """A brightness wave that makes every place flash `rate_hz` times a second."""
    settings = {"speed": rate_hz * length_m, "length": length_m, "low": 0.0}
    return Layer("tide", palette=(colour,), settings=settings)


def codes(findings):
    return {(finding.level, finding.code) for finding in findings}


# Limits: three flashes a second, WCAG 2.2. A second that begins and ends in the middle of a flash
# can hold one transition more than twice the rate, and one more where frames round its edges.
@pytest.mark.parametrize(("rate_hz", "passes"), [(2, True), (2.9, True), (3.3, False)])
def test_general_flashes_of_the_whole_wall(house, rate_hz, passes):
    flash = watch_flash(house, scheme(wave(rate_hz)))
    assert flash.general.passes is passes
    assert 2 * rate_hz <= flash.general.transitions <= 2 * rate_hz + 2


@pytest.mark.parametrize(("rate_hz", "strict"), [(1, True), (3.5, False)])
def test_red_and_blue_in_turn(house, rate_hz, strict):
    bands = {"band": 1.25, "gap": 0.0, "soft": 0.0, "speed": 2.5 * rate_hz}
    layer = Layer("chase", palette=("#ff0000", "#0000ff"), settings=bands)
    flash = watch_flash(house, scheme(layer))
    assert flash.red.passes_strict is strict
    assert 2 * rate_hz <= flash.red.transitions <= 2 * rate_hz + 2
    assert flash.general.transitions <= 2 * rate_hz + 2


def test_dim_light_does_not_flash(house):
    assert watch_flash(house, scheme(wave(3.3), brightness=0.08)).general.transitions == 0


def test_steady_light_has_no_finding(house):
    assert flash_findings(house, scheme(Layer("steady", palette=("#ffffff",)))) == ()


def test_a_danger_says_where_when_and_what_passes(house):
    (danger,) = [
        finding
        for finding in flash_findings(house, scheme(wave(3.3)))
        if finding.code == "flash-general"
    ]
    assert danger.level == "danger"
    assert danger.where == "eave"
    assert "more than 3" in sentence(danger)
    assert "the fastest that passes: layer 1 (tide) with speed" in sentence(danger)
    assert "(now 9.9)" in sentence(danger)


def test_the_advised_speed_passes_and_is_not_needlessly_slow(house):
    fast = scheme(Layer("wander", palette=("#402000",)), wave(3.3))
    slowed = slowest_needed(house, fast, watch_flash(house, fast))
    assert slowed.layers == (1,)
    assert slowed.scheme.layers[0] == fast.layers[0]
    assert watch_flash(house, slowed.scheme).passes
    # 3.3 Hz against three a second, found within the search's ten percent and two digits.
    assert 0.75 * 3 / 3.3 < slowed.factor < 1


def test_two_fast_layers_are_slowed_together(house):
    above = Layer(**{**vars(wave(3.5, length_m=2.5)), "blend": "add"})
    fast = scheme(wave(3.5, length_m=2.5), above)
    slowed = slowest_needed(house, fast, watch_flash(house, fast))
    assert slowed.layers == (0, 1)
    assert watch_flash(house, slowed.scheme).passes


def test_long_flashing_within_the_limit_is_a_note(house):
    found = flash_findings(house, scheme(wave(2.5)))
    assert codes(found) == {("note", "flash-long")}
    assert flash_findings(house, scheme(wave(1.2))) == ()


def test_frames_of_a_raw_scheme_count_too(house):
    assert not watch_flash(house, scheme(wave(3.3), colour="raw")).general.passes


@pytest.mark.parametrize("name", sorted(effects()))
def test_every_effect_passes_with_its_defaults(house, name):
    for palette in (("#ffffff", "#000000"), ("#ff0000", "#0000ff")):
        flash = watch_flash(house, scheme(Layer(name, palette=palette)), seconds=8)
        assert flash.passes, (name, palette)


@pytest.mark.parametrize("name", ["cottage", "townhouse", "bungalow"])
def test_the_demo_schemes_are_safe(name):
    demo = load_house(DEMO / name / "house.yaml")
    for path in sorted((DEMO / name).glob("*.scheme.yaml")):
        flash = watch_flash(demo, load_scheme(path, demo), seconds=5)
        assert flash.passes, path.name


def test_a_wave_that_comes_late_is_seen(house):
    """Nothing flashes in the first 100 s, and all of it is long after the first half minute."""
    late = Layer(**{**vars(wave(3.3)), "from_s": 100.0})
    (danger,) = [each for each in flash_findings(house, scheme(late)) if each.level == "danger"]
    assert danger.code == "flash-general"
    assert danger.detail["time_s"] > 100
    gone = Layer(**{**vars(wave(3.3)), "until_s": 0.0})
    assert flash_findings(house, scheme(gone)) == ()


@pytest.mark.parametrize(
    ("value", "towards", "expected"),
    # two significant digits: a rate never up, a time never down, or the advice would not pass
    [
        (8.27, math.floor, 8.2),
        (8.21, math.ceil, 8.3),
        (8.2, math.floor, 8.2),
        (-0.0347, math.floor, -0.034),
        (123, math.ceil, 130),
        (0, math.ceil, 0),
    ],
)
def test_what_is_advised_has_two_digits(value, towards, expected):
    assert rounded(value, towards) == pytest.approx(expected, abs=1e-12)


@pytest.mark.parametrize("factor", [0.93, 0.47])
def test_a_slowed_layer_is_never_faster_than_the_factor(factor):
    """Rates are rounded down and times up: `tide` has a rate, `swell` a time."""
    speed, old = at_pace(Layer("tide"), factor)["speed"], effects()["tide"].settle({})["speed"]
    assert speed <= old * factor
    assert speed == pytest.approx(old * factor, rel=0.1)
    every, old = at_pace(Layer("swell"), factor)["every"], effects()["swell"].settle({})["every"]
    assert every >= old / factor
    assert every == pytest.approx(old / factor, rel=0.1)
