"""Every way in which a house file can be wrong, by the exact words; ¶ marks the place."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from layouts import House

HEAD = """\
format: evenfall-house/1
name: Test
drawing: {size: [10, 5]}
"""
RUN = """\
runs:
  - {name: eave, pixels: ws2813, path: [[0, 3], [5, 3]]}
"""
Refused = Callable[[str], list[str]]


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ("¶nmae: x", "unknown key 'nmae'; did you mean 'name'?"),
        (
            "units: ¶furlong",
            "'furlong' is not one of the choices; there are: m, cm, mm, ft, in",
        ),
        ("temperature_c: ¶.nan", "'.nan' is not a finite number; write a number"),
        ("temperature_c: ¶-.inf", "'-.inf' is not a finite number; write a number"),
        ("temperature_c: ¶warm", "expected a number, found 'warm'"),
        ("temperature_c: ¶400", "400 is out of range; write at least -60 and at most 120"),
        ("¶name: Twice", "the key 'name' is here twice, first in line 2; remove one"),
        ("supplies: ¶5", "expected a list, found 5"),
        (
            "location: {latitude: 48, longitude: 8, timezone: ¶Europe/Berln, country: DE}",
            "unknown time zone 'Europe/Berln'; did you mean 'Europe/Berlin'?",
        ),
        (
            "location: {latitude: 48, longitude: 8, timezone: Europe/Berlin, country: ¶Germany}",
            "'Germany' is not a country code; write it like DE, US or GB-ENG",
        ),
        # zones
        (
            "zones: {left: [¶eaves]}",
            "unknown run 'eaves'; did you mean 'eave'?",
        ),
        (
            'zones: {left: [¶"eave[0:301]"]}',
            "'eave[0:301]' is outside run 'eave', which has 300 pixels; write 'eave[a:b]' with "
            "0 ≤ a < b ≤ 300",
        ),
        (
            'zones: {left: [¶"eave[-3:9]"]}',
            "'eave[-3:9]' is outside run 'eave', which has 300 pixels; write 'eave[a:b]' with 0 "
            "≤ a < b ≤ 300",
        ),
        (
            'zones: {left: [¶"eave[5"]}',
            "'eave[5' is not a part of a run; write it like 'eave[10:40]'",
        ),
        ("zones: {left: ¶[]}", "zone 'left' names no run; list runs, or remove it"),
        (
            "zones: {left: [eave], right: [¶left]}",
            "'left' is a zone, not a run; list its runs",
        ),
        (
            "zones: {¶all: [eave]}",
            "'all' is every pixel; choose another name",
        ),
        (
            'zones: {¶"a.b": [eave]}',
            "'a.b' is not a name; use letters, digits, spaces, - and _",
        ),
        (
            'zones: {left: ¶[eave, "eave[0:3]"]}',
            "zone 'left' has some pixels twice; list every part of a run once",
        ),
        # outputs
        (
            "outputs: [{name: a, chain: [¶eve]}]",
            "unknown run 'eve'; did you mean 'eave'?",
        ),
        (
            "outputs: [{name: a, chain: [eave, ¶eave]}]",
            "run 'eave' is already on output 'a'; chain every run once",
        ),
        (
            "outputs: [{name: a, chain: [eave], address: ¶4}]",
            "an address without a universe; add 'universe'",
        ),
        (
            "outputs: [{name: a, chain: [eave], universe: ¶63999}]",
            "output 'a' fills universes up to 64000; end by 63999",
        ),
        ("outputs: [{name: a, chain: ¶[]}]", "a list of 0, where at least 1 belong; add some"),
        # kinds
        ("kinds: {mine: {like: ¶ws2914}}", "unknown kind 'ws2914'; did you mean 'ws2815'?"),
        (
            "kinds: {¶ws2813: {like: sk6812}}",
            "'ws2813' is a kind of the catalogue; choose another name",
        ),
        (
            "kinds: {mine: {like: ¶ours}, ours: {like: mine}}",
            "'like' runs in a circle: mine → ours → mine; break it",
        ),
        (
            "kinds: {mine: ¶{volts: 5}}",
            "kind 'mine' has no channels; give them, or start with 'like'",
        ),
        (
            "kinds: {mine: {like: sk6812, order: ¶grbw}}",
            "order 'grbw' does not name the channels rgb once each; write each channel once",
        ),
        (
            "kinds: {mine: {like: sk6812, channels: {w: ¶{ma: 3, vf: 3, lm: 2}}}}",
            "channel w needs either 'nm' or 'cct'; nm for a colour, cct for a phosphor white",
        ),
        (
            "kinds: {mine: {like: sk6812, pitch: ¶10 mm, per_metre: 100}}",
            "kind 'mine' has both 'pitch' and 'per_metre'; keep one",
        ),
        (
            "kinds: {mine: {like: sk6812-rgbw-warm, bits: ¶24}}",
            "24 bits are not 8 for each of 4 channels; write 32",
        ),
        (
            "kinds: {mine: {like: sk6812, pitch: ¶1e-9}}",
            "a pitch of 1e-06 mm is too small; check its unit",
        ),
        (
            "kinds: {mine: {like: sk6812, volts: ¶230}}",
            "230 is out of range; write more than 0 and at most 60",
        ),
        (
            "kinds: {mine: {like: sk6812, min_v: ¶6}}",
            "min_v is not below volts; write the least supply voltage",
        ),
    ],
)
def test_a_wrong_line(refused: Refused, line: str, problem: str) -> None:
    found = refused(f"{HEAD}{RUN}{line}\n")
    assert f"¶ {problem}" in found
    circle = "circle" in problem  # told at both ends
    assert len(found) == 1 + circle


def test_names_given_twice(refused: Refused) -> None:
    text = f"""{HEAD}runs:
  - {{name: eave, pixels: ws2813, path: [[0, 3], [5, 3]]}}
  - {{name: eave, pixels: ws2813, path: [[0, 3], [5, 3]]}}
supplies:
  - {{name: eave, volts: 5, amps: 40}}
outputs:
  - {{name: a, chain: [eave]}}
  - {{name: a, chain: [eave]}}
"""
    found = refused(text)
    for problem in (
        "6:12: 'eave' is already the name of another run; choose another",
        "8:12: 'eave' is already the name of a run; choose another",
        "11:12: 'a' is already the name of another output; choose another",
    ):
        assert problem in found


def test_outputs_that_overlap(refused: Refused) -> None:
    text = f"""{HEAD}runs:
  - {{name: one, pixels: ws2813, path: [[0, 3], [5, 3]]}}
  - {{name: two, pixels: ws2813, path: [[0, 3], [5, 3]]}}
outputs:
  - {{name: a, chain: [one], universe: 1}}
  - {{name: b, chain: [two], universe: 2, address: 300}}
"""
    assert refused(text) == [
        "9:39: output 'b' overlaps the addresses of 'a'; it fills up to universe 4;"
        " start where the other ends"
    ]
    # 300 pixels of 3 slots: 170 in universe 1, 130 (390 slots) in universe 2.


@pytest.mark.parametrize(
    ("surface", "problem"),
    [
        (
            "{name: s, outline: ¶[[0, 0], [1, 1]], material: stone}",
            "the outline of surface 's' has 2 points and encloses nothing; give at least three",
        ),
        (
            "{name: s, outline: ¶[[0, 0], [2, 2], [2, 0], [0, 2]], material: stone}",
            "the outline of surface 's' crosses itself: the side after point 1 and the side "
            "after point 3; list the points once around",
        ),
        (
            "{name: s, outline: ¶[[0, 0], [1, 1], [2, 2]], material: stone}",
            "the outline of surface 's' encloses nothing; move a point out of the line",
        ),
        (
            "{name: s, outline: [[0, 0], [1, 1], [2, 0]], material: ¶stoned}",
            "unknown material 'stoned'; did you mean 'stone'?",
        ),
    ],
)
def test_a_wrong_surface(refused: Refused, surface: str, problem: str) -> None:
    drawing = f"drawing:\n  size: [9, 9]\n  surfaces: [{surface}]\n"
    text = f"format: evenfall-house/1\nname: T\n{drawing}{RUN}"
    assert refused(text) == [f"¶ {problem}"]


def test_photos_that_are_not_there(refused: Refused, tmp_path: Path) -> None:
    def with_photo(file: str, corners: str = "[[0, 0], [1, 0], [1, 1], [0, 1]]") -> list[str]:
        drawing = f"drawing: {{size: [9, 9], photo: {{file: {file}, corners: {corners}}}}}\n"
        return refused(f"format: evenfall-house/1\nname: T\n{drawing}{RUN}")

    assert with_photo("no.jpg") == [
        "3:39: there is no photo 'no.jpg'; put it beside the house file, or leave 'photo' out"
    ]
    for outside in ("../x.jpg", "/etc/hostname"):
        assert with_photo(outside) == [
            f"3:39: the photo '{outside}' lies outside the folder of the house file;"
            " move it beside the house file"
        ]
    (tmp_path / "link.jpg").symlink_to("/etc/hostname")
    assert "outside the folder" in with_photo("link.jpg")[0]


def test_errors_of_form_and_of_reference_are_told_together(refused: Refused) -> None:
    text = """\
format: evenfall-house/1
name: Test
drawing:
  size: [10]
  surfaces:
    - {name: wall, outline: [[0, 0], [1, 0], [1, 1]], material: brik-red}
runs:
  - {name: eave, pixels: ws2813, path: [[0, 3], [5, 3]], colour: red}
  - {name: gable, pixels: ws2813, path: 7}
  - {name: porch, pixels: ws2183, path: [[0, 3], [5, 3]]}
zones:
  front: [eave, gable, porch, gabel]
supplies:
  - {name: psu, volts: 5, amps: 40}
wires:
  - {from: psu, to: eave.start, wire: 16 AWG, length: 1}
  - {from: psu, to: porch.start, wire: 16 AWG, length: 1}
  - {from: psu, to: gable.start, wire: 16 AWG, length: 1}
  - {from: psu, to: attic, wire: 16 AWG, length: 1}
"""
    assert refused(text) == [
        "4:9: a list of 1, where at least 2 belong; add some",
        "6:65: unknown material 'brik-red'; did you mean 'brick-red'?",
        "8:58: unknown key 'colour'; there are: name, pixels, path, count, aim, standoff, profile,"
        " spare_first, set_ma, cuts, missing, lens",
        "9:41: expected a list, found 7",
        "10:27: unknown kind of pixel 'ws2183'; did you mean 'ws2813'?",
        "12:31: unknown run 'gabel'; did you mean 'gable'?",
        "19:21: nothing else reaches junction 'attic': a wire to nowhere;"
        " there are: eave, gable, porch, psu",
    ]


def test_what_a_kind_inherits_wrong_is_told_where_it_is_wrong(refused: Refused) -> None:
    kinds = (
        "kinds: {a: {like: b}, b: {like: ¶nope}, c: {like: d}, d: {like: sk6812, order: rgbw}}\n"
    )
    order = "order 'rgbw' does not name the channels rgb once each; write each channel once"
    found = refused(f"{HEAD}{RUN}{kinds}")
    assert found[0].startswith("¶ unknown kind 'nope'")
    assert found[1:] == [f"6:79: {order}"]


def test_a_kind_like_a_broken_one_is_not_called_unknown(refused: Refused) -> None:
    kinds = "kinds: {a: {like: b}, b: {like: sk6812, volts: ¶lots}}\n"
    assert refused(f"{HEAD}{RUN}{kinds}") == ["¶ expected a number, found 'lots'"]


def test_a_house_of_no_runs(refused: Refused) -> None:
    assert refused(f"{HEAD}runs: []\n") == ["4:7: there are no runs; add one"]
    assert refused(HEAD) == ["1:1: the key 'runs' is missing; add it"]


def test_a_file_of_another_format(refused: Refused) -> None:
    assert refused("format: evenfall-scheme/1\nlayers: []\n") == [
        "1:9: this is a file of format 'evenfall-scheme/1'; expected 'evenfall-house/1'"
    ]


def test_a_sound_house_is_not_refused(house: Callable[[str], House]) -> None:
    assert len(house(f"{HEAD}{RUN}").pixels) == 300


def test_missing_runs_hide_nothing_else(refused: Callable[[str], list[str]]) -> None:
    assert refused(
        "format: evenfall-house/1\nname: T\ndrawing: {size: [9, 5]}\n"
        "zones: {all: [r], a: [r]}\n"
        "supplies: [{name: box, volts: 5, amps: 9}, {name: box, volts: 5, amps: 9}]\n"
        "wires: [{from: box, to: attic, wire: 2 mm, length: 1},"
        " {from: box, to: porch, wire: 14 AWG, length: 1}]\n"
    ) == [
        "1:1: the key 'runs' is missing; add it",
        "4:9: 'all' is every pixel; choose another name",
        "5:51: 'box' is already the name of another supply; choose another",
        "6:38: '2 mm' is a length, not the area of a wire; write '2 mm2', or '3.1 mm2' if the"
        " copper is 2 mm across",
    ]


def test_spaces_that_do_not_break_are_spaces(house: Callable[[str], House]) -> None:
    made = house(
        "format:\u00a0evenfall-house/1\nname: T\ndrawing: {size: [9,\u202f5]}\n"
        "runs:\n\u00a0\u00a0- {name: left eave, pixels: ws2813, path: [[0, 1], [3\u00a0m, 1]]}\n"
        "zones: {a: [left\u00a0eave]}\n"
    )
    assert made.zones["a"].length_m == pytest.approx(3)
