"""One instant of a house, step by step and from codes of any origin."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import layouts
from effects import asked, bind, load_scheme
from sim.circuit import solve
from sim.frame import codes_of, frame, frame_of, light_of, rig, rig_for, scene

HOUSE = """\
format: evenfall-house/1
name: test house
drawing:
  size: [6, 4]
  viewer: 10
  surfaces:
    - {name: wall, outline: [[0, 0], [6, 0], [6, 3], [0, 3]], material: brick-red, depth: 0}
runs:
  - {name: left, pixels: sk6812-rgbw-warm, path: [[0.5, 2.8], [2.5, 2.8]]}
  - {name: right, pixels: sk6812-rgbw-warm, path: [[3.5, 2.8], [5.5, 2.8]]}
supplies:
  - {name: box, volts: 5, amps: 20}
wires:
  - {from: box, to: left.start, wire: 18 AWG, length: 3, fuse: 5}
  - {from: box, to: right.start, wire: 18 AWG, length: 3, fuse: 5}
"""
SCHEME = """\
format: evenfall-scheme/1
name: test chase
brightness: 0.6
layers:
  - {zones: all, effect: chase, palette: ["3000 K", "#ff2000"]}
"""


@pytest.fixture(scope="module")
def house(tmp_path_factory):
    path = tmp_path_factory.mktemp("frame") / "house.yaml"
    path.write_text(HOUSE)
    path.with_name("chase.scheme.yaml").write_text(SCHEME)
    return layouts.load_house(path)


@pytest.fixture(scope="module")
def played(house):
    scheme = load_scheme(house.file.replace("house.yaml", "chase.scheme.yaml"), house)
    return rig_for(house, scheme), bind(house, scheme)


TIMES_S = np.array([0.0, 0.4, 1.1])


def test_the_steps_of_a_frame_one_by_one(played):
    made, show = played
    wanted = asked(show, TIMES_S)
    codes = codes_of(made, show, TIMES_S, wanted)
    solution = solve(made.network, codes)
    whole = frame(made, show, TIMES_S)
    np.testing.assert_array_equal(whole.asked, wanted)
    np.testing.assert_array_equal(whole.codes, codes)
    np.testing.assert_array_equal(whole.volts, solution.volts)
    np.testing.assert_array_equal(whole.light, light_of(codes, solution.dim))


def test_codes_of_any_origin_make_the_same_frame(played):
    made, show = played
    whole = frame(made, show, TIMES_S)
    given = frame_of(made, whole.codes.astype(np.int64), time_s=TIMES_S)
    assert given.asked is None
    for name in ("time_s", "codes", "volts", "amps", "dim", "supply_a", "wire_a", "light"):
        np.testing.assert_array_equal(getattr(given, name), getattr(whole, name))
    one = frame_of(made, whole.codes[1])
    assert one.time_s.shape == ()
    np.testing.assert_array_equal(one.volts, whole.volts[1])
    np.testing.assert_array_equal(one.light, whole.light[1])
    # Without times every frame has the same one.
    assert frame_of(made, whole.codes).time_s.tolist() == [0.0, 0.0, 0.0]


@pytest.mark.parametrize(
    "wrong",
    [
        np.zeros((3, 4), np.uint8),
        np.zeros((240, 3), np.uint8),
        np.zeros((1, 1, 240, 4), np.uint8),
        np.full((240, 4), 256),
        np.full((240, 4), -1),
        np.full((240, 4), 0.5),
    ],
    ids=["too few", "no white", "an axis too many", "too large", "negative", "duties"],
)
def test_what_is_no_code_is_refused(played, wrong):
    made, _ = played
    assert len(made.house.pixels) == 240  # 2 m of 60 a metre, twice
    with pytest.raises(ValueError, match="codes"):
        frame_of(made, wrong)


def test_two_kinds_of_one_name_are_two(house):
    kind = house.runs[0].kind
    twice = replace(
        kind, channels=tuple(replace(one, flux_lm=2 * one.flux_lm) for one in kind.channels)
    )
    assert twice.name == kind.name
    mixed = replace(house, runs=(house.runs[0], replace(house.runs[1], kind=twice)))
    night = scene(mixed, (64, 48))
    np.testing.assert_allclose(night.flux_lm[1], 2 * night.flux_lm[0])
    np.testing.assert_array_equal(night.sources.kind, np.repeat([0, 1], 120))
    # Matched, the brighter kind is asked for the same share of its own full light.
    made = rig(mixed)
    assert made.mixer.unit_lm[1] == pytest.approx(2 * made.mixer.unit_lm[0])
