"""The same scheme on several kinds: records, JSON, screen."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest
from rich.console import Console

import layouts
from effects import bind, load_scheme
from sim.colour import emission_xyz_lm
from sim.frame import frame
from sim.report.compare import chosen, compare
from sim.report.compare_json import comparison_json
from sim.report.compare_text import comparison_blocks, shift_in_words, white_in_words
from sim.report.jsonable import jsonable
from sim.report.other_kind import of_kind, rerated
from sim.report.prices import Prices
from sim.report.terminal import print_blocks

HOUSE = """\
format: evenfall-house/1
name: test house
drawing:
  size: [12, 5]
  viewer: 10
  surfaces:
    - {name: wall, outline: [[0, 0], [12, 0], [12, 4], [0, 4]], material: brick-red, depth: 0}
    - {name: pane, outline: [[1, 1], [2, 1], [2, 2], [1, 2]], material: glass-lit, depth: 0.1}
kinds:
  measured: {like: ws2812b-v5, channels: {g: {lm: 1.8}}}
runs:
  - {name: eave, pixels: ws2812b-v5, path: [[0.5, 3], [5.5, 3]], count: 300}
supplies:
  - {name: box, volts: 5, amps: 40, efficiency: 0.85, source_ohm: 0.002}
wires:
  - {from: box, to: eave.start, wire: 12 AWG, length: 1, fuse: 20}
  - {from: box, to: "eave[150]", wire: 12 AWG, length: 2, fuse: 20}
  - {from: box, to: eave.end, wire: 12 AWG, length: 2, fuse: 20}
outputs:
  - {name: A, chain: [eave], universe: 1}
"""
SCHEME = """\
format: evenfall-scheme/1
name: test white
brightness: 0.2
layers:
  - {zones: all, effect: steady, palette: ["3000 K"]}
"""
NAMES = ("ws2812b-v5", "sk6812-rgbw-warm")


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("compare")
    (folder / "house.yaml").write_text(HOUSE)
    (folder / "white.scheme.yaml").write_text(SCHEME)
    (folder / "red.scheme.yaml").write_text(SCHEME.replace("3000 K", "#ff0000"))
    (folder / "raw.scheme.yaml").write_text(SCHEME.replace("3000 K", "#ffffff") + "colour: raw\n")
    return folder


@pytest.fixture(scope="module")
def house(files):
    return layouts.load_house(files / "house.yaml")


@pytest.fixture(scope="module")
def comparison(files, house):
    scheme = load_scheme(files / "white.scheme.yaml", house)
    return compare(house, scheme, chosen(NAMES, layouts.kinds()))


def test_every_kind_has_the_same_pixels_and_wires(comparison, house):
    for report, name in zip(comparison.kinds, NAMES, strict=True):
        changed = report.rig.house
        assert {run.kind.name for run in changed.runs} == {name}
        np.testing.assert_array_equal(changed.pixels.xy_m, house.pixels.xy_m)
        assert changed.wires == house.wires
        assert changed.supplies == house.supplies
        assert not report.notes


def test_lumens_are_those_of_the_codes_on_the_wire(comparison):
    for report in comparison.kinds:
        shot = frame(report.rig, bind(report.rig.house, comparison.scheme), 0.0)
        by_hand = (shot.codes / 255.0 * shot.dim * emission_xyz_lm(report.kind)[:, 1]).sum()
        assert report.lumens == pytest.approx(by_hand, rel=1e-6)
        assert report.lumens_peak == pytest.approx(by_hand, rel=1e-6)


def test_current_and_watts_are_those_of_the_scan(comparison):
    for report in comparison.kinds:
        shot = frame(report.rig, bind(report.rig.house, comparison.scheme), 0.0)
        assert report.peak_a == pytest.approx(float(shot.amps.sum()), rel=1e-6)
        # One supply: watts are the volts at its terminals, behind 2 mΩ, times its amperes.
        supply_a = float(shot.supply_a[0])
        assert report.watts == pytest.approx((5.0 - 0.002 * supply_a) * supply_a, rel=1e-6)


def test_refresh_of_the_longest_output(comparison):
    # Data sheets: WS2812B-V5 300·24·1.25 µs + 280 µs, SK6812RGBW 300·32·1.25 µs + 80 µs.
    assert [report.frame_s for report in comparison.kinds] == pytest.approx([9.28e-3, 12.08e-3])
    assert [report.refresh_hz for report in comparison.kinds] == pytest.approx(
        [107.8, 82.8], abs=0.05
    )


def test_the_white_of_the_scheme_is_measured(comparison):
    assert comparison.asked.share == pytest.approx(1.0)
    assert comparison.asked.cct_k == pytest.approx(3000.0, abs=5.0)
    for report, sent, cct_k in zip(
        # At 20 % brightness: codes by hand from the duties, CCT by colour-science 0.4.7, Ohno 2013.
        comparison.kinds,
        ((54, 45, 5, 0), (0, 2, 0, 77)),
        (2985.0, 2996.0),
        strict=True,
    ):
        assert report.white.codes == sent
        assert report.white.rendition.cct_k == pytest.approx(cct_k, abs=1.0)
        assert abs(report.white.rendition.duv) < 5e-4
        assert report.white.delta_e < 0.5
    rgb, rgbw = (report.white for report in comparison.kinds)
    # Two libraries put the Ra of three dies at 3000 K at 0-25 over the bins, phosphor's over 80.
    assert rgb.ra_range[0] < rgb.rendition.ra < rgb.ra_range[1] < 25.0
    assert rgbw.ra_range[0] > 80.0
    assert rgbw.white_die > 0.95
    assert rgb.white_die == 0.0


def test_materials_are_those_that_are_lit(comparison):
    rgb, rgbw = (report.white.shifts for report in comparison.kinds)
    assert list(rgb) == ["brick-red"]  # a pane shows what is behind it
    assert rgb["brick-red"].word == "redder"
    assert rgb["brick-red"].delta_e > 3 * rgbw["brick-red"].delta_e


def test_a_scheme_without_white_is_measured_on_3000_k(files, house):
    for name in ("red", "raw"):
        scheme = load_scheme(files / f"{name}.scheme.yaml", house)
        found = compare(house, scheme, chosen(NAMES, layouts.kinds()))
        assert found.asked.share == 0.0
        for report in found.kinds:
            # Rounded to codes at 20 %, as above.
            assert report.white.rendition.cct_k == pytest.approx(3000.0, abs=16.0)
        assert not comparison_json(found)["white"]["from_scheme"]


def test_equal_raw_codes_give_each_kind_its_own_light(files, house):
    scheme = load_scheme(files / "raw.scheme.yaml", house)
    found = compare(house, scheme, chosen(NAMES, layouts.kinds()))
    for report in found.kinds:
        flux = emission_xyz_lm(report.kind)[:, 1]
        # White codes under raw: all of RGBW's light comes from w, all of RGB's from r, g, b.
        lit = flux[3] if flux[3] else flux[:3].sum()
        code = np.rint(0.2 * 255) / 255
        assert report.lumens == pytest.approx(300 * code * lit, rel=1e-6)


def test_a_supply_of_another_voltage_keeps_its_watts(house):
    kind = layouts.kinds()["ws2815"]
    changed, notes = rerated(house, kind)
    old, new = house.supplies[0], changed.supplies[0]
    assert new.volts == 12.0
    assert new.volts * new.rated_a == pytest.approx(old.volts * old.rated_a)
    # The same share of the load's resistance: R scales with V² at equal watts.
    assert new.source_ohm / (new.volts / new.rated_a) == pytest.approx(
        old.source_ohm / (old.volts / old.rated_a)
    )
    assert notes == (
        "supply box taken as 12 V 200 W (16.7 A) instead of 5 V 40 A: the same watts and "
        "efficiency of 85%; wires and fuses as they are",
    )


def test_a_trimmed_supply_is_left_alone(house):
    trimmed = replace(house, supplies=(replace(house.supplies[0], volts=5.2),))
    changed, notes = rerated(trimmed, layouts.kinds()["sk6812"])
    assert changed.supplies == trimmed.supplies
    assert not notes


SPARSE = """\
format: evenfall-house/1
name: mixed house
drawing: {size: [12, 5], viewer: 10, surfaces: []}
kinds:
  sparse: {like: sk6812, per_metre: 30}
  bulbs: {like: sk6812, pitch: 100 mm, mount: string, wire: 20 AWG}
runs:
  - {name: eave, pixels: sk6812, path: [[0.5, 3], [5.5, 3]]}
  - {name: tree, pixels: STRING, path: [[7, 1], [9, 1]]}
supplies:
  - {name: box, volts: 5, amps: 40, source_ohm: 0.002}
  - {name: shed, volts: TREE_V, amps: 10}
wires:
  - {from: box, to: eave.start, wire: 12 AWG, length: 1, fuse: 20}
  - {from: box, to: "eave[150]", wire: 12 AWG, length: 2, fuse: 20}
  - {from: FEED, to: tree.start, wire: 14 AWG, length: 2, fuse: 5}
outputs:
  - {name: A, chain: [eave, tree], universe: 1}
"""


@pytest.fixture
def mixed(tmp_path):
    """mixed(string, volts, feed): strip along the eave, a string in the tree."""

    def load(string="ws2811-12v-group3", volts="12", feed="shed"):
        text = SPARSE.replace("STRING", string).replace("TREE_V", volts).replace("FEED", feed)
        (tmp_path / "house.yaml").write_text(text)
        return layouts.load_house(tmp_path / "house.yaml")

    return load


def test_densities_are_compared_on_the_same_metres(files, house, mixed):
    scheme = load_scheme(files / "white.scheme.yaml", house)
    made = mixed()
    pair = (made.kinds["sk6812"], made.kinds["sparse"])
    prices = Prices("p.yaml", "EUR", "", {"sk6812": 0.1, "sparse": 0.2, "ws2811-12v-group3": 0.5})
    found = compare(made, scheme, pair, prices=prices)
    dense, sparse = found.kinds
    # 5 m at 60 and at 30 a metre; the string's 2 m at 100 mm stay.
    assert [each.pixels for each in found.kinds] == [300 + 20, 150 + 20]
    assert dense.metres == pytest.approx(sparse.metres)
    assert [each.price for each in found.kinds] == pytest.approx([30 + 10, 30 + 10])
    # 150 pixels fewer, each of the white's codes at full voltage; the string's light is the same.
    one_lm = np.array(dense.white.codes) / 255 @ emission_xyz_lm(dense.kind)[:, 1]
    assert dense.lumens - sparse.lumens == pytest.approx(150 * one_lm, rel=0.01)
    assert "run eave: 300 pixels become 150 on the same 5.0 m" in sparse.notes
    assert not any("become" in note for note in dense.notes)
    said = _said(found)
    assert "7.0 m of each kind" in said
    assert "170, 7.0 m" in said
    data = comparison_json(found)["kinds"]
    assert [(entry["pixels"], entry["metres"]) for entry in data] == [
        (320, pytest.approx(7.0)),
        (170, pytest.approx(7.0)),
    ]


def test_a_string_stays_a_string(mixed):
    made = mixed()
    changed, notes = of_kind(made, made.kinds["sparse"])
    assert [run.kind.name for run in changed.runs] == ["sparse", "ws2811-12v-group3"]
    assert changed.supplies == made.supplies
    assert notes[-1] == (
        "run tree, a string of ws2811-12v-group3, stays as it is: sparse is a strip"
    )
    # Another voltage re-rates the strip's supply and leaves the string's alone.
    changed, notes = of_kind(made, layouts.kinds()["ws2815"])
    assert [supply.volts for supply in changed.supplies] == [12, 12]
    assert [note.split(" taken")[0] for note in notes if "supply" in note] == ["supply box"]
    changed, _ = of_kind(made, made.kinds["bulbs"])
    assert [run.kind.name for run in changed.runs] == ["sk6812", "bulbs"]
    assert [supply.volts for supply in changed.supplies] == [5, 5]


def test_a_string_that_cannot_stay_is_said(mixed):
    made = mixed("bulbs", "5", "box")
    changed, notes = of_kind(made, layouts.kinds()["ws2815"])
    assert {run.kind.name for run in changed.runs} == {"ws2815"}
    assert "run tree: a string of bulbs, replaced by a strip of ws2815" in notes[0]
    # Of its own voltage it stays, on the same supply.
    changed, _ = of_kind(made, made.kinds["sparse"])
    assert [run.kind.name for run in changed.runs] == ["sparse", "bulbs"]


def test_sufficiency_follows_the_ceiling(files, house):
    scheme = replace(load_scheme(files / "white.scheme.yaml", house), brightness=1.0)
    weak = replace(house, supplies=(replace(house.supplies[0], rated_a=1.0),))
    found = compare(weak, scheme, chosen(NAMES, layouts.kinds()))
    for report in found.kinds:
        assert not report.suffices
        assert report.power.ceiling.brightness < 0.5
        assert "supply box" in report.power.ceiling.limit
        assert report.power.ceiling.bound == "0.8 A"  # 80 % of 1 A
    assert "brightness only: 80% of supply box (0.8 A)" in " ".join(_said(found, 200).split())


def test_a_kind_of_the_house_file_can_be_chosen(house):
    found = chosen(("ws2812b-v5", "measured"), house.kinds)
    assert found[1].channel("g").flux_lm == 1.8


def test_json_has_every_promised_field(comparison):
    data = json.loads(json.dumps(jsonable(comparison_json(comparison)), allow_nan=False))
    assert data["house"] == "test house"
    assert data["scheme"] == "test white"
    promised = (
        "kind lumens watts peak_a ceiling cct_k duv ra ra_range rf rg refresh_hz material_delta_e"
    )
    for entry in data["kinds"]:
        assert set(promised.split()) <= set(entry)
        assert len(entry["ra_range"]) == 2
        assert set(entry["material_delta_e"]) == {"brick-red"}
        assert entry["suffices"] is True
        assert entry["price"] is None
    # ANSI E1.31: 512 slots hold 170 pixels of three channels, 128 of four; 300 pixels.
    assert [entry["universes"] for entry in data["kinds"]] == [2, 3]
    assert [entry["bits_per_pixel"] for entry in data["kinds"]] == [24, 32]


def _said(comparison, width: int = 80) -> str:
    console = Console(width=width, markup=False, highlight=False)
    with console.capture() as captured:
        print_blocks(console, comparison_blocks(comparison))
    return captured.get()


def test_the_screen_says_what_differs(comparison):
    said = _said(comparison)
    for part in (
        "test white on test house, 300 pixels of each kind",
        "it never changes: one frame, brightness 20 %",
        "the white this scheme shows, 3000 K",
        "suffice",
        "ΔE redder",
        "at most 108",
        "Mains work belongs to a licensed electrician",
    ):
        assert part in said, part
    assert max(len(line) for line in said.splitlines()) <= 80


def test_words_for_figures(comparison):
    rgb, rgbw = comparison.kinds
    assert " to " in white_in_words(rgb)
    assert white_in_words(rgbw) in ("82", "83", "84", "85")
    assert shift_in_words(rgbw.white.shifts["brick-red"]).startswith(("looks right", "2 ΔE"))


def test_a_difference_below_that_of_parts_is_none(comparison):
    """0.8 W of 9 is less than two reels' ±8 % of current; 2.8 times the light is more than 1.4²."""
    figures = {each.key: each.difference(0, 1) for each in comparison.sure.figures}
    watts = figures["watts"]
    assert watts.sheet == pytest.approx(comparison.kinds[1].watts - comparison.kinds[0].watts)
    assert not watts.differs
    assert watts.band[0] < 0 < watts.band[1]
    assert figures["lumens"].differs
    data = comparison_json(comparison)
    told = {each["figure"]: each["differs"] for each in data["spread"]["differences"]}
    assert (told["watts"], told["lumens"]) == (False, True)
    low, high = data["kinds"][0]["watts_band"]
    assert low < data["kinds"][0]["watts"] < high
    assert "sk6812-rgbw-warm against ws2812b-v5" in str(list(comparison_blocks(comparison)))
