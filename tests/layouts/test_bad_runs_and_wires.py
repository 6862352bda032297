"""Runs and wires that cannot be, by the exact words that answer them; ¶ marks the place."""

from __future__ import annotations

from collections.abc import Callable

import pytest

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
    ("entry", "problem"),
    [
        (
            "{name: r, pixels: ¶ws2812, path: [[0, 0], [5, 0]]}",
            "unknown kind of pixel 'ws2812'; did you mean 'ws2812b', 'ws2812b-v5', 'ws2812b-30',"
            " …?",
        ),
        (
            "{name: r, pixels: ws2813, path: ¶[[1, 2], [1, 2]]}",
            "the path of run 'r' has no length; move a point",
        ),
        (
            "{name: r, pixels: ws2813, path: ¶[[1, 2]]}",
            "a list of 1, where at least 2 belong; add some",
        ),
        (
            "{name: r, pixels: ws2813, path: ¶[[0, 0], [0.01, 0]]}",
            "the path of run 'r' is shorter than one pitch of 16.67 mm; lengthen it, or give a "
            "'count'",
        ),
        (
            "{name: r, pixels: ws2813, path: [[0, 0], [5, ¶2 yd]]}",
            "'2 yd' is not a length; write it like '2.5 m', '40 mm' or '12 ft 6 in'",
        ),
        (
            "{name: r, pixels: ws2813, path: [[0, 0], [1, 0]], profile: ¶bear}",
            "unknown profile 'bear'; did you mean 'bare'?",
        ),
        (
            "{name: r, pixels: ws2813, path: [[0, 0], [0, 4]], aim: ¶down}",
            "the aim 'down' points along the path of run 'r'; aims that work here: wall, out",
        ),
        (
            "{name: r, pixels: ws2813, path: [[0, 0], [0, 4]], aim: ¶5}",
            "the aim '5' points along the path of run 'r'; aims that work here: wall, out",
        ),
        (
            "{name: r, pixels: ws2813, path: [[0, 0], [4, 0]], aim: ¶left}",
            "'left' is not an aim; write down, up, wall, out or degrees from straight down "
            "towards the wall, -180 to 180",
        ),
        (
            "{name: r, pixels: ws2813, path: [[0, 0], [1, 0]], spare_first: ¶60}",
            "run 'r' has 60 pixels, all of them spare; write at most 59",
        ),
        (
            "{name: r, pixels: ws2813, path: [[0, 0], [1, 0]], standoff: ¶0}",
            "the length is not more than zero; write a positive length",
        ),
        (
            "¶{name: r, pixels: ws2813, path: [[0, 0], [1, 0]], count: 200001}",
            "more than 200,000 pixels with run 'r'; leave some out",
        ),
        ("¶{name: r, path: [[0, 0], [1, 0]]}", "the key 'pixels' is missing; add it"),
    ],
)
def test_a_wrong_run(refused: Refused, entry: str, problem: str) -> None:
    assert refused(f"{HEAD}runs:\n  - {entry}\n") == [f"¶ {problem}"]


@pytest.mark.parametrize(
    ("wire", "problem"),
    [
        (
            "{from: psu, to: ¶eave, wire: 16 AWG, length: 1}",
            "'eave' is a run; a wire needs a point of it; write eave.start, eave.end, eave[75] "
            "or eave@2.5 m",
        ),
        (
            '{from: psu, to: ¶"eave[300]", wire: 16 AWG, length: 1}',
            "run 'eave' has no pixel 300; its pixels are 0 to 299",
        ),
        (
            "{from: psu, to: ¶eave@6 m, wire: 16 AWG, length: 1}",
            "run 'eave' is 5 m long, 6 m is beyond it; write 0 to 5 m",
        ),
        (
            "{from: psu, to: ¶eave@there, wire: 16 AWG, length: 1}",
            "'there' is not a length; write it like '2.5 m', '40 mm' or '12 ft 6 in'",
        ),
        (
            "{from: psu, to: ¶eave.middle, wire: 16 AWG, length: 1}",
            "'eave.middle' is not a point of a run; write .start, .end, [75] or @2.5 m",
        ),
        (
            "{from: psu, to: ¶eve.end, wire: 16 AWG, length: 1}",
            "unknown run 'eve'; did you mean 'eave'?",
        ),
        (
            '{from: psu, to: ¶"", wire: 16 AWG, length: 1}',
            "'' is not a name; use letters, digits, spaces, - and _",
        ),
        (
            '{from: psu, to: ¶"eave[", wire: 16 AWG, length: 1}',
            "'eave[' is not a name; use letters, digits, spaces, - and _",
        ),
        (
            "{from: ¶psu.plus, to: eave.end, wire: 16 AWG, length: 1}",
            "'psu' is a supply and has no points; write 'psu'",
        ),
        (
            "{from: psu, to: eave.end, wire: 16 AWG, length: ¶0 mm}",
            "the length is not more than zero; write a positive length",
        ),
        (
            "{from: psu, to: eave.end, wire: 16 AWG, length: 1, fuse: ¶0}",
            "a fuse of 0 A protects nothing; write its rating, or leave it out",
        ),
        (
            "{from: psu, to: eave.end, wire: 16 AWG, length: 1, fuse: ¶-5}",
            "a fuse of -5 A protects nothing; write its rating, or leave it out",
        ),
        (
            "{from: psu, to: eave.end, wire: ¶16, length: 1}",
            "16 is not a wire size; write it like '16 AWG' or '1.5 mm2'",
        ),
        (
            "¶{from: psu, to: psu, wire: 16 AWG, length: 1}",
            "the wire leads from 'psu' to itself; change an end",
        ),
    ],
)
def test_a_wrong_wire(refused: Refused, wire: str, problem: str) -> None:
    supplies = "supplies:\n  - {name: psu, volts: 5, amps: 40}\nwires:\n"
    good = "  - {from: psu, to: eave.start, wire: 16 AWG, length: 1}\n"
    assert refused(f"{HEAD}{RUN}{supplies}  - {wire}\n{good}") == [f"¶ {problem}"]


def test_a_wire_to_nowhere_is_told_and_not_the_run_it_leaves_dark(refused: Refused) -> None:
    text = f"""{HEAD}{RUN}supplies:
  - {{name: psu, volts: 5, amps: 40}}
wires:
  - {{from: psu, to: trunk, wire: 12 AWG, length: 1}}
  - {{from: trunck, to: eave.start, wire: 16 AWG, length: 1}}
"""
    assert refused(text) == [
        "9:21: nothing else reaches junction 'trunk': a wire to nowhere; did you mean 'trunck'?",
        "10:12: nothing else reaches junction 'trunck': a wire to nowhere; did you mean 'trunk'?",
    ]


def test_a_zone_of_spare_pixels(refused: Refused) -> None:
    run = RUN.replace("}", ", spare_first: 2}")
    assert refused(f'{HEAD}{run}zones: {{dark: ¶["eave[0:2]"]}}\n') == [
        "¶ zone 'dark' has only spare pixels, which stay dark; add others, or remove it"
    ]
