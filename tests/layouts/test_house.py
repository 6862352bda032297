"""What a sound house file becomes."""

from __future__ import annotations

import dataclasses
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

import layouts
from layouts import House, kinds, load_house, with_kind

ROOT = Path(__file__).resolve().parents[2]
TEXT = """\
format: evenfall-house/1
name: Test
units: ft
temperature_c: -5
location: {latitude: 48, longitude: 8.5, timezone: Europe/Berlin, country: DE}
drawing:
  size: [30, 16.5]
  viewer: 12 m
  surfaces:
    - {name: wall, outline: [[0, 0], [30, 0], [30, 10]], material: brick-red}
    - {name: door, outline: [[2, 0], [5, 0], [5, 7]], material: door-green, depth: 2 in}
kinds:
  dense: {like: warmer, per_metre: 144}
  warmer: {like: sk6812-rgbw-warm, channels: {w: {cct: 2700}, r: {nm: 628}}}
  leads: {like: ws2811-12v-group3, wire: 18 AWG, pitch: 6 in}
runs:
  - {name: left eave, pixels: dense, path: [[0, 10], [5, 10]], aim: 45, spare_first: 2}
  - {name: hedge, pixels: leads, path: [[0, 3], [10, 3]], aim: out, profile: eave-track}
zones:
  half: ["left eave[:100]", "hedge[18:]", "hedge[0]"]
supplies:
  - {name: box, volts: 5, amps: 40, source_ohm: 0.01}
wires:
  - {from: box, to: trunk, wire: 12 AWG, length: 6 ft, fuse: 15}
  - {from: trunk, to: left eave.start, wire: 2.5 mm2, length: 1 m}
  - {from: trunk, to: "left eave[75]", wire: 16 AWG, length: 3}
  - {from: trunk, to: "left eave@12 in", wire: 16 AWG, length: 3}
  - {from: left eave.end, to: hedge@0, wire: 16 AWG, length: 3}
outputs:
  - {name: port, chain: [left eave, hedge], universe: 3, address: 10, fps: 30}
"""


@pytest.fixture
def made(house: Callable[[str], House]) -> House:
    return house(TEXT)


def test_lengths_are_metres_inside(made: House) -> None:
    assert made.drawing.size_m == pytest.approx((9.144, 5.0292))
    assert made.drawing.viewer_m == 12
    assert made.drawing.surfaces[1].depth_m == pytest.approx(0.0508)
    assert made.drawing.surfaces[0].outline_m[2] == pytest.approx([9.144, 3.048])
    assert [wire.length_m for wire in made.wires[:3]] == pytest.approx([1.8288, 1, 0.9144])
    assert made.runs[0].standoff_m == 0.05


def test_kinds_inherit_in_chains(made: House) -> None:
    dense, parent = made.runs[0].kind, kinds()["sk6812-rgbw-warm"]
    assert dense.pitch_m == pytest.approx(1 / 144)
    assert dense.channel("w") == dataclasses.replace(parent.channel("w"), cct_k=2700)
    assert dense.channel("g") == parent.channel("g")
    assert (dense.channel("r").dominant_nm, dense.channel("r").fwhm_nm) == (628, 20)
    # A wavelength of one's own has no data sheet's bins.
    assert set(dense.dominant_bins_nm) == {"g", "b"}
    assert dense.sources["channels.w.cct"] == "written in the house file"
    assert dense.sources["channels.w.lm"] == parent.sources["channels.w.lm"]


def test_a_string_takes_its_rails_from_its_leads(made: House) -> None:
    # ASTM B258, IACS: 18 AWG is 20.948 Ω/km.
    assert made.runs[1].kind.rail_ohm_per_m == pytest.approx(0.020948, rel=1e-4)
    assert made.runs[1].kind.pitch_m == pytest.approx(0.1524)


def test_a_house_knows_the_kinds_it_may_be_built_of(made: House) -> None:
    assert list(made.kinds) == [*kinds(), "dense", "warmer", "leads"]
    assert made.kinds["dense"] == made.runs[0].kind


def test_zones(made: House) -> None:
    assert list(made.zones) == ["left eave", "hedge", "all", "half"]
    eave, hedge, everything, half = made.zones.values()
    spares, count, on_hedge = 2, 219, 20  # 5 ft at 144/m; 10 ft at 6 in
    assert (made.runs[0].count, made.runs[1].count) == (count, on_hedge)
    assert eave.pixels.tolist() == list(range(spares, count))
    assert eave.along_m[0] == pytest.approx(0.5 / 144)
    assert hedge.length_m == pytest.approx(3.048)
    assert len(everything.pixels) == count + on_hedge - spares
    assert half.pixels.tolist() == [*range(2, 100), count + 18, count + 19, count]
    assert half.along_m[98] == pytest.approx(98 / 144 + 0.0762)
    assert half.length_m == pytest.approx(98 / 144 + 3 * 0.1524)
    assert np.all(np.diff(half.along_m) > 0)


def test_spares_are_pixels_that_no_zone_has(made: House) -> None:
    assert np.flatnonzero(made.pixels.spare).tolist() == [0, 1]
    assert not set(made.zones["all"].pixels) & {0, 1}


def test_wire_ends(made: House) -> None:
    count = made.runs[0].count
    ends = [(wire.start, wire.end) for wire in made.wires]
    assert [(end.kind, end.name) for end in ends[0]] == [("supply", "box"), ("junction", "trunk")]
    assert ends[1][1].pad == 0
    assert ends[2][1].pad == 76  # beside pixel 75
    # 12 in = 0.3048 m = 43.89 pitches: pixel 43 sits at 43.5, its pad is the nearest.
    assert ends[3][1].pad == 44
    assert (ends[4][0].pad, ends[4][1].pad) == (count + 1, 0)
    assert made.wires[4].label == "left eave.end → hedge@0"
    assert [wire.fuse_a for wire in made.wires] == [15, None, None, None, None]


def test_records_are_frozen_and_arrays_read_only(made: House) -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        made.name = "x"  # type: ignore[misc]
    arrays = [*vars(made.pixels).values(), made.zones["half"].pixels, made.runs[0].path_m]
    arrays.append(made.drawing.surfaces[0].outline_m)
    assert not any(array.flags.writeable for array in arrays)
    with pytest.raises(TypeError):
        made.zones["half"] = None  # type: ignore[index]


def test_defaults(house: Callable[[str], House]) -> None:
    head = "format: evenfall-house/1\nname: T\ndrawing: {size: [10, 5]}\n"
    made = house(f"{head}runs: [{{name: r, pixels: ws2813, path: [[0, 0], [1, 0]]}}]\n")
    assert (made.temperature_c, made.location, made.supplies, made.outputs) == (20, None, (), ())
    assert (made.runs[0].aim, made.runs[0].profile.name) == ("down", "bare")


def test_another_kind_in_the_same_places(made: House) -> None:
    other = with_kind(made, kinds()["ws2815"], keep="pixels")
    assert {run.kind.name for run in other.runs} == {"ws2815"}
    assert other.pixels is made.pixels
    assert [run.pitch_m for run in other.runs] == [run.pitch_m for run in made.runs]
    assert other.supplies == made.supplies
    assert made.runs[0].kind.name == "dense"


def test_a_hundred_thousand_pixels_load_in_five_seconds(house: Callable[[str], House]) -> None:
    runs = "".join(
        f"  - {{name: r{i}, pixels: ws2813, path: [[0, {i}], [16.7, {i}]], count: 1000}}\n"
        for i in range(100)
    )
    outputs = "".join(f"  - {{name: o{i}, chain: [r{i}]}}\n" for i in range(100))
    head = "format: evenfall-house/1\nname: T\ndrawing: {size: [20, 100]}\n"
    start = time.process_time()
    made = house(f"{head}runs:\n{runs}outputs:\n{outputs}")
    seconds = time.process_time() - start
    assert len(made.pixels) == 100_000
    assert seconds < 5  # stated budget; usual is well under one


@pytest.mark.parametrize("name", ["cottage", "townhouse", "bungalow"])
def test_demo_houses_load(name: str) -> None:
    made = load_house(ROOT / "demo" / name / "house.yaml")
    assert len(made.pixels) > 500
    assert not [f for f in layouts.house_findings(made) if f.level == "danger"]
