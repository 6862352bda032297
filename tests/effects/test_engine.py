"""Layers laid on one another, worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from effects import Layer, Scheme, asked, bind, effects
from effects.engine import presence
from effects.show import Show
from layouts import Zone
from layouts.errors import EvenfallError


def show(house, *layers: Layer, colour: str = "raw", **scheme) -> Show:
    return bind(house, Scheme("test", "", layers, colour=colour, **scheme))


def steady(*palette: str, **layer) -> Layer:
    return Layer("steady", palette=palette, **layer)


NOW = np.array([0.0])
GREY = "#808080"  # 128/255


@pytest.mark.parametrize(
    ("blend", "by_hand"),
    [
        # base 0.2, 0.4, 0.8; colour 1, 0.4, 0; opacity 0.5
        ("over", (0.6, 0.4, 0.4)),  # base·½ + colour·½
        ("add", (0.7, 0.6, 0.8)),  # base + colour·½
        ("lighten", (0.5, 0.4, 0.8)),  # the larger of base and colour·½
        ("multiply", (0.2, 0.28, 0.4)),  # base · (1 − ½ + ½·colour)
    ],
)
def test_blends(wall, blend, by_hand):
    base, top = steady("#3366cc"), steady("#ff6600", blend=blend, opacity=0.5)
    frame = asked(show(wall, base, top), NOW)
    assert frame.shape == (1, 540, 3)
    assert frame.dtype == np.float32
    assert frame[0, 17] == pytest.approx(by_hand, abs=1e-6)
    assert np.ptp(frame, axis=1) == pytest.approx(0, abs=1e-6)


def test_matched_is_linear_light_and_raw_is_codes(wall):
    assert asked(show(wall, steady(GREY)), NOW)[0, 0] == pytest.approx([128 / 255] * 3)
    # IEC 61966-2-1: 128/255 decodes to 0.21586.
    linear = asked(show(wall, steady(GREY), colour="matched"), NOW)[0, 0]
    assert linear == pytest.approx([0.21586] * 3, abs=1e-5)


def test_a_layer_lights_only_its_zone(wall):
    frame = asked(show(wall, steady("#ffffff", zones=("rake-left",))), NOW)[0]
    lit = frame.min(axis=1) > 0
    assert lit.sum() == 150
    assert lit[wall.run("rake-left").pixels].all()


def test_pixels_apart_from_each_other(wall):
    """Zones that are no neighbours in the file take the path by indices."""
    layers = steady(GREY), steady("#ffffff", zones=("eave", "rake-right"), blend="multiply")
    frame = asked(show(wall, *layers), NOW)[0]
    assert frame == pytest.approx(np.full((540, 3), 128 / 255))
    apart = asked(show(wall, steady("#ffffff", zones=("rake-right", "eave"))), NOW)[0]
    assert (apart[wall.run("rake-left").pixels] == 0).all()
    assert apart.sum() == pytest.approx(3 * 390)


def test_neighbours_meet_half_way_in_oklab(wall):
    from effects.colour_spaces import to_oklab

    half = asked(show(wall, Layer("fade", palette=("#ff0000", "#0000ff")), colour="matched"), NOW)
    assert half[0, 0] == pytest.approx([1, 0, 0])
    between = Layer("fade", palette=("#ff0000", "#0000ff"), settings={"hold": 0, "change": 2})
    frame = asked(show(wall, between, colour="matched"), np.array([1.0]))[0, 0]
    ends = to_oklab(np.array([[1, 0, 0], [0, 0, 1.0]]))
    assert to_oklab(frame) == pytest.approx(ends.mean(axis=0), abs=1e-3)


def test_the_palette_is_a_ring(wall):
    fade = Layer("fade", palette=("#ff0000", "#00ff00"), settings={"hold": 1, "change": 1})
    frames = asked(show(wall, fade), np.array([0.5, 2.5, 4.5, 3.9999]))[:, 0]
    assert frames[0] == pytest.approx([1, 0, 0])
    assert frames[1] == pytest.approx([0, 1, 0])
    assert frames[2] == pytest.approx([1, 0, 0])
    assert frames[3] == pytest.approx([1, 0, 0], abs=0.02)


TIMES = np.array([[0.0], [10.0], [11.0], [12.0], [19.0], [20.0], [25.0]])


@pytest.mark.parametrize(
    ("layer", "by_hand"),
    [
        (Layer("steady", opacity=0.4), [0.4] * 7),
        (Layer("steady", from_s=10), [0, 1, 1, 1, 1, 1, 1]),
        (Layer("steady", until_s=20), [1, 1, 1, 1, 1, 0, 0]),
        (Layer("steady", from_s=10, until_s=20), [0, 1, 1, 1, 1, 0, 0]),
        # 3x² − 2x³ at x = 0.5 is 0.5
        (Layer("steady", from_s=10, until_s=20, ease_s=2), [0, 0, 0.5, 1, 0.5, 0, 0]),
        # across the start of the scheme: late and early
        (Layer("steady", from_s=19, until_s=11), [1, 1, 0, 0, 1, 1, 1]),
    ],
)
def test_presence(layer, by_hand):
    assert presence(layer, TIMES)[:, 0] == pytest.approx(by_hand)


def test_seconds_start_again(wall):
    layer = steady("#ffffff", from_s=4, until_s=8)
    frames = asked(show(wall, layer, seconds=10), np.array([1, 5, 11, 15, 10_005.0]))
    assert frames[:, 0, 0] == pytest.approx([0, 1, 0, 1, 1])
    assert show(wall, layer, seconds=10).period_s == 10


@pytest.mark.parametrize(
    ("layers", "period_s"),
    [
        ([steady(GREY)], 1 / 40),  # stands still: one frame says it all
        # 2 · (4 + 3) s
        ([Layer("fade", palette=("#ff0000", "#00ff00"))], 14),
        # 2 · 1.2 m / 0.5 m/s = 4.8 s and 14 s meet after 168 s
        (
            [
                Layer("fade", palette=("#ff0000", "#00ff00")),
                Layer("chase", palette=("#ff0000", "#00ff00")),
            ],
            168,
        ),
        # 1.2 m / 0.7 m/s = 12/7 s
        ([Layer("chase", settings={"speed": 0.7})], 12 / 7),
        # 1.2 m / 0.501 m/s and 7 s meet only after 2800 s
        (
            [
                Layer("chase", settings={"speed": 0.501}),
                Layer("swell", settings={"every": 7}),
            ],
            None,
        ),
        ([Layer("twinkle")], None),
        ([steady(GREY, from_s=3)], None),
    ],
)
def test_period(wall, layers, period_s):
    found = show(wall, *layers).period_s
    assert found == (None if period_s is None else pytest.approx(period_s))
    if found:
        made = show(wall, *layers)
        first, again = asked(made, np.array([0.31])), asked(made, np.array([0.31 + found]))
        assert np.abs(first - again).max() < 1e-3


@pytest.mark.parametrize("name", list(effects()))
def test_working_in_parts_changes_nothing(wall, name, monkeypatch):
    times = np.array([0.3, 17.2])
    whole = asked(show(wall, Layer(name, ("gable", "eave"))), times)
    monkeypatch.setattr("effects.show.PART", 37)
    assert np.array_equal(asked(show(wall, Layer(name, ("gable", "eave"))), times), whole)


def test_any_number_of_frames(wall):
    made = show(wall, Layer("twinkle"))
    assert asked(made, np.zeros(0)).shape == (0, 540, 3)
    with pytest.raises(ValueError, match=r"shape \(\); pass an array"):
        asked(made, np.float64(3))


def test_a_zone_of_no_pixels_and_a_spare_one(build):
    house = build(
        "runs: [{name: eave, pixels: ws2813, path: [[1, 3], [2, 3]], count: 2, aim: down,"
        " standoff: 0.1, profile: bare, spare_first: 1}]\n"
    )
    nothing = Zone("nothing", np.zeros(0, int), np.zeros(0), 0.0)
    house = replace(house, zones={**house.zones, "nothing": nothing})
    frame = asked(show(house, Layer("wander", ("nothing",)), steady(GREY)), NOW)[0]
    assert frame[:, 0] == pytest.approx([0, 128 / 255])  # the spare stays dark


@pytest.mark.parametrize(
    ("layer", "says"),
    [
        (Layer("chace"), "unknown effect 'chace'; did you mean 'chase'?"),
        (Layer("steady", palette="hollybsh"), "unknown palette 'hollybsh'; did you mean 'holly"),
        (Layer("steady", zones=("eve",)), "no zone 'eve' in the house 'Test wall'"),
        (Layer("chase", settings={"sped": 1}), "unknown parameter 'sped' of chase; did you mean"),
        (Layer("chase", settings={"speed": 99}), "chase: speed: 99 is outside -10..10 m/s"),
    ],
)
def test_what_cannot_be_bound(wall, layer, says):
    with pytest.raises(EvenfallError) as refused:
        show(wall, layer)
    assert str(refused.value).startswith(says)
