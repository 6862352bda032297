"""A house of which one run has two whites: five columns everywhere, and the light of all five."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from effects import Layer, Scheme, bind
from layouts import House, addresses, change, frame_time_s, house_from, kinds, load_house
from layouts.errors import InputError
from layouts.faults import Fault
from sim.colour import emission_xyz_lm
from sim.data.patch import codes_from, levels_from, patch_of
from sim.frame import frame, frame_of, plain_codes, rig_for, scene
from sim.light import luminance
from sim.upkeep import broken, frame_of_broken
from sim.upkeep.rates import usual_rates
from sim.upkeep.weather import house_at

KIND = kinds()["ws2805-24v-rgbww"]
WHITE = Scheme("white", "white.yaml", (Layer("steady", palette=("4000 K",)),))


def small(pixels: str = KIND.name, **more: object) -> House:
    data = {
        "name": "small",
        "drawing": {
            "size": [4, 3],
            "viewer": 6,
            "surfaces": [
                {
                    "name": "wall",
                    "material": "brick-red",
                    "outline": [[0, 0], [4, 0], [4, 3], [0, 3]],
                }
            ],
        },
        "runs": [
            {"name": "a", "pixels": pixels, "path": [[1, 2.6], [3, 2.6]], "standoff": 0.3},
            {"name": "b", "pixels": "ws2811-24v-group6", "path": [[1, 1], [2, 1]], "aim": "down"},
        ],
        "outputs": [{"name": "A", "chain": ["a", "b"], "universe": 1}],
        "supplies": [{"name": "s", "volts": 24, "amps": 4}],
        "wires": [
            {"from": "s", "to": f"{run}.start", "wire": "18 AWG", "length": 2, "fuse": 3}
            for run in "ab"
        ],
    }
    return house_from(data | more)


def test_arrays_are_as_wide_as_the_widest_kind_and_no_wider() -> None:
    house = small()
    assert house.channels == ("r", "g", "b", "w", "c")
    rig = rig_for(house, WHITE)
    made = frame(rig, bind(house, WHITE), 0.0)
    assert made.codes.shape == made.dim.shape == made.light.shape == (30, 5)
    assert made.codes[:20, 3:].all()
    assert not made.codes[20:, 3:].any()  # the other kind has no white
    assert rig.network.law.channels == 5
    with pytest.raises(ValueError, match=r"\(30, 5\).*channels r, g, b, w, c"):
        frame_of(rig, made.codes[:, :4])
    plain = change(house, runs={"a": {"pixels": "ws2814-24v-rgbw"}})
    assert plain.channels == ("r", "g", "b", "w")
    assert rig_for(plain, WHITE).network.law.channels == 4
    assert frame(rig_for(plain, WHITE), bind(plain, WHITE), 0.0).codes.shape == (30, 4)


def test_five_slots_a_pixel_and_back() -> None:
    # ANSI E1.31: 512 slots, 102 whole pixels of five
    many = small(drawing={"size": [30, 3], "viewer": 20},
                 runs=[{"name": "a", "pixels": KIND.name, "path": [[1, 1], [25, 1]], "count": 240}],
                 outputs=[{"name": "A", "chain": ["a"], "universe": 1}], wires=[])  # fmt: skip
    where = addresses(many)
    assert [int((where.universe == u).sum()) for u in (1, 2, 3)] == [102, 102, 36]
    assert where.address[101] == 506
    codes = np.random.default_rng(1).integers(0, 256, (3, 240, 5)).astype(np.uint8)
    patch = patch_of(many)
    levels = levels_from(patch, codes)
    assert levels[1, 0, :5].tolist() == codes[1, 0].tolist()  # in the kind's order, rgbwc
    np.testing.assert_array_equal(codes_from(patch, levels), codes)


def test_a_frame_takes_as_long_as_the_sheets_say() -> None:
    # bits × 1.25 µs + reset, 300 pixels: WS2805 40 bits, 280 µs: 15.28 ms; FW1906 48 bits, 200 µs:
    # 18.20 ms [calc]
    for name, ms in (("ws2805-24v-rgbww", 15.28), ("fw1906-24v-rgbww", 18.20)):
        run = replace(small(name).runs[0], count=300)
        assert 1000 * frame_time_s([run]) == pytest.approx(ms, abs=0.005)


def test_light_and_watts_of_a_pixel_are_those_of_its_dies() -> None:
    # six dies at 12 mA: 8.0, 20.0, 6.0 and 26.2 lm for each white [calc, borrowed]; 62 mA at 24 V
    assert emission_xyz_lm(KIND)[:, 1] == pytest.approx([8.0, 20.0, 6.0, 26.2, 26.2])
    assert KIND.whites_k == (2700.0, 6500.0)
    house = small()
    full = frame_of(rig_for(house, WHITE), plain_codes(house, 255)[0])
    assert full.amps[:20] == pytest.approx(0.062, rel=2e-3)


def _shown(house: House, column: int, size: int = 5) -> np.ndarray:
    """cd/m² while one channel of the first run is half lit."""
    light = np.zeros((len(house.pixels), size), np.float32)
    light[:20, column] = 0.5
    return luminance(scene(house, (160, 120), "late"), light)


def test_the_cool_white_lights_the_wall_as_a_single_white_of_that_colour_does() -> None:
    """The fifth primary beside the fourth of a kind of four: two ways through the light."""
    one = {"like": "ws2814-24v-rgbw", "channels": {"w": {"ma": 12, "cct": 6500, "lm": 26.2}}}
    single = small("cool", kinds={"cool": one})
    fifth, fourth = _shown(small(), 4), _shown(single, 3, 4)
    assert fourth.max() > 0.1
    np.testing.assert_allclose(fifth, fourth, rtol=2e-5, atol=1e-6)


def test_light_of_all_channels_is_the_sum_of_each() -> None:
    house = small()
    night = scene(house, (96, 72), "late")
    dark = luminance(night, np.zeros((30, 5), np.float32))
    alone = []
    for column in range(5):
        light = np.zeros((30, 5), np.float32)
        light[:, column] = 0.3
        alone.append(luminance(night, light) - dark)
    together = luminance(night, np.full((30, 5), 0.3, np.float32)) - dark
    np.testing.assert_allclose(together, np.sum(alone, axis=0), rtol=1e-4, atol=1e-5)


def test_a_stuck_and_a_garbling_pixel_show_only_channels_they_have() -> None:
    house = small()
    rig = rig_for(house, WHITE)
    faults = (Fault("stuck", run="a", position=2, colour=(9, 8, 7)),
              Fault("garbage", run="a", position=10))  # fmt: skip
    codes = np.full((1, 30, 5), 100, np.uint8)
    codes[:, 20:, 3:] = 0
    seen = frame_of_broken(broken(rig, faults), codes).states[0].received[0]
    assert seen[2].tolist() == [9, 8, 7, 0, 0]
    assert np.ptp(seen[10:20, 4]) > 20  # what a garbled line says is different in each pixel
    assert not seen[20:, 3:].any()


def test_a_cool_white_warms_as_the_warm_one_where_nobody_says_more() -> None:
    cold = house_at(small(), -20.0, usual_rates()).runs[0].kind
    warm, cool = cold.channel("w"), cold.channel("c")
    assert warm is not None
    assert cool is not None
    assert cool.flux_lm == pytest.approx(warm.flux_lm)
    assert cool.vf_v == pytest.approx(warm.vf_v)
    assert cool.flux_lm > 26.2


TEXT = """\
format: evenfall-house/1
name: Kinds
drawing: {size: [6, 4], viewer: 8, surfaces: []}
kinds:
  ours:
    like: ws2805-24v-rgbww
    SAID
runs:
  - {name: eave, pixels: ours, path: [[1, 2], [2, 2]]}
"""


@pytest.mark.parametrize(
    ("said", "told"),
    [
        ("channels: {c: {cct: 2700}}", "7:25: w and c of kind 'ours' are both 2700 K"),
        ("channels: {c: {cct: 2200}}", "7:25: c of kind 'ours' has 2200 K and is warmer than w"),
        ("channels: {c: {nm: 590, fwhm_nm: 15}}", "7:19: channel c of kind 'ours' is no white"),
        ("channels: {y: {ma: 12}}", "7:16: unknown key 'y'; there are: r, g, b, w, c"),
        ("order: rgbww", "7:12: order 'rgbww' does not name the channels rgbwc once each"),
        ("bits: 32", "7:11: 32 bits are not 8 for each of 5 channels; write 40"),
        ("law: series", "7:10: five channels of kind 'ours' share one current"),
    ],
)
def test_a_kind_that_cannot_be_is_told_where_it_is_written(tmp_path, said: str, told: str) -> None:
    file = tmp_path / "house.yaml"
    file.write_text(TEXT.replace("SAID", said), "utf-8")
    with pytest.raises(InputError) as error:
        load_house(file)
    assert f"house.yaml:{told}" in str(error.value)


def test_a_cool_white_alone_is_refused() -> None:
    cool = {"ma": 9, "vf": 19, "cct": 6500, "lm": 9}
    alone = {"like": "ws2811-24v-group6", "channels": {"c": cool}, "bits": 32, "order": "rgbc"}
    with pytest.raises(
        InputError, match="a cool white c and no warm white w; call a single white w"
    ):
        small("ours", kinds={"ours": alone})


def test_the_card_of_a_pixel_shows_both_whites() -> None:
    from sim.app.state.inspect import report

    house = small()
    rig = rig_for(house, WHITE)
    made = frame(rig, bind(house, WHITE), 0.0)
    rows = dict(report(house, made, 3, raw=False).rows)
    assert rows["codes R G B W C"].split() == [str(code) for code in made.codes[3]]
    assert len(rows["light"].split("%")) == 6
    # RGB beside it has three
    assert "codes R G B" in dict(report(house, made, 25, raw=False).rows)
