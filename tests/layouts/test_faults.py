"""The file of what is broken: what it means, and every way of getting it wrong by its place."""

import pytest

from layouts import house_from
from layouts.errors import InputError
from layouts.faults import Fault, faults_from_text


@pytest.fixture
def house():
    return house_from(
        {
            "name": "two runs",
            "units": "m",
            "drawing": {"size": [10, 5]},
            "runs": [
                {"name": "gable", "pixels": "ws2812b", "path": [[0, 1], [2, 1]], "missing": [7]},
                {"name": "porch", "pixels": "ws2812b", "path": [[0, 0.5], [1, 0.5]]},
            ],
            "supplies": [{"name": "loft", "volts": 5, "amps": 10}],
            "wires": [
                {"from": "loft", "to": "gable.start", "wire": "18 AWG", "length": 1, "fuse": 5},
                {"from": "loft", "to": "gable[70]", "wire": "18 AWG", "length": 1},
                {"from": "loft", "to": "gable[70]", "wire": "16 AWG", "length": 1, "fuse": 5},
                {"from": "gable.end", "to": "porch.start", "wire": "18 AWG", "length": 1},
            ],
        }
    )


def read(house, *lines: str):
    text = "format: evenfall-faults/1\nfaults:\n" + "".join(f"  - {line}\n" for line in lines)
    return faults_from_text(text, "f.yaml", house)


@pytest.mark.parametrize(
    ("line", "faults"),
    [
        ('{dark: "gable[3]"}', [Fault("dark", "gable", 3)]),
        ('{dead: "gable[0:2]"}', [Fault("dead", "gable", 0), Fault("dead", "gable", 1)]),
        (
            '{stuck: "gable[3]", colour: "#ff8001"}',
            [Fault("stuck", "gable", 3, colour=(255, 128, 1))],
        ),
        ('{open: plus, at: "gable[40]"}', [Fault("open", "gable", 40, "plus")]),
        ("{open: data, at: porch.start}", [Fault("open", "porch", 0, "data")]),
        ("{open: minus, at: gable.end}", [Fault("open", "gable", 120, "minus")]),
        # 60 pixels a metre: 1 m is the boundary before position 60
        ('{open: plus, at: "gable@1 m"}', [Fault("open", "gable", 60, "plus")]),
        ('{open: minus, at: "loft → gable.start"}', [Fault("open", wire=0, conductor="minus")]),
        ('{joint: "gable[40]", ohm: 0.3}', [Fault("joint", "gable", 40, ohm=0.3)]),
        (
            '{joint: "gable[40]", ohm: 300 mΩ, conductor: plus}',
            [Fault("joint", "gable", 40, "plus", ohm=0.3)],
        ),
        ('{joint: "gable.end -> porch.start", ohm: 1}', [Fault("joint", wire=3, ohm=1.0)]),
        ('{short: "gable@1 m", ohm: 0.05}', [Fault("short", "gable", 60, ohm=0.05)]),
        ('{short: "gable[3]"}', [Fault("short", "gable", 3, ohm=0.02)]),
        ('{blown: "loft → gable.start"}', [Fault("blown", wire=0)]),
        ('{blown: "loft → gable[70] #2"}', [Fault("blown", wire=2)]),
        ("{off: loft}", [Fault("off", supply="loft")]),
        ("{sag: loft, volts: 4.2}", [Fault("sag", supply="loft", volts=4.2)]),
        ("{hiccup: loft}", [Fault("hiccup", supply="loft", on_s=0.1, pause_s=0.9)]),
        (
            "{hiccup: loft, on: 200 ms, pause: 1 s}",
            [Fault("hiccup", supply="loft", on_s=0.2, pause_s=1.0)],
        ),
        ('{garbage: "porch[5]"}', [Fault("garbage", "porch", 5)]),
    ],
)
def test_what_a_line_means(house, line: str, faults: list[Fault]) -> None:
    assert read(house, line) == tuple(faults)


@pytest.mark.parametrize(
    ("line", "problem"),
    [
        ('{dark: "gabel[3]"}', "12: unknown run 'gabel'; did you mean 'gable'?"),
        (
            '{dark: "gable[120]"}',
            "12: 'gable[120]' is outside run 'gable'; its pixels are 0 to 119",
        ),
        ("{dead: gable}", "12: 'gable' names no pixel; write it like 'gable[3]'"),
        ('{dead: "gable[7]"}', "12: pixel 7 of run 'gable' is cut out; leave it out here"),
        ("{off: attic}", "11: unknown supply 'attic'; there are: loft"),
        ("{sag: loft}", "5: 'sag' needs 'volts'; add it"),
        ("{sag: loft, volts: 6}", "11: 6 V are more than the 5 V of 'loft'"),
        ("{sag: loft, volts: -1}", "24: -1 is out of range; write at least 0 and at most 60"),
        ("{off: loft, ohm: 2}", "17: 'off' has no 'ohm'; remove it"),
        (
            "{}",
            "5: an entry that breaks nothing; write one of dark, dead, stuck, open, joint, short,"
            " blown, off, sag, hiccup, garbage",
        ),
        (
            '{dark: "gable[1]", dead: "gable[2]"}',
            "5: an entry with dark and dead; write one of dark,"
            " dead, stuck, open, joint, short, blown, off, sag, hiccup, garbage",
        ),
        ("{open: plus}", "5: 'open' needs 'at'; add it"),
        ("{opne: plus, at: gable.end}", "6: unknown key 'opne'; did you mean 'open'?"),
        (
            "{open: pluss, at: gable.end}",
            "12: 'pluss' is not one of the choices; did you mean 'plus'?",
        ),
        (
            '{blown: "loft → gable[71]"}',
            "13: no wire 'loft → gable[71]'; did you mean 'loft → gable[70]'?",
        ),
        (
            '{blown: "loft → gable[70]"}',
            "13: 2 wires are called 'loft → gable[70]'; write 'loft → gable[70] #1'",
        ),
        (
            '{blown: "loft → gable[70] #1"}',
            "13: wire loft → gable[70] has no fuse; write another wire",
        ),
        (
            '{open: plus, at: "porch.end"}',
            "22: no wire is on the end of run 'porch', so nothing flows"
            " there; write a position between two pixels",
        ),
        (
            '{open: data, at: "loft → gable.start"}',
            "22: 'loft → gable.start' is a power wire and carries no data; write a place of a run",
        ),
        ('{short: "gable@20 m"}', "13: run 'gable' is 2 m long, 20 m is beyond it; write 0 to 2 m"),
        (
            '{stuck: "gable[1]", colour: blue}',
            "33: 'blue' is not a colour; write its codes like '#ff8000'",
        ),
        ("{hiccup: loft, on: 0 s}", "24: 0 is out of range; write more than 0 and at most 3600"),
    ],
)
def test_what_is_wrong_with_a_line(house, line: str, problem: str) -> None:
    with pytest.raises(InputError) as refused:
        read(house, line)
    assert str(refused.value) == f"f.yaml:3:{problem}"


def test_all_problems_are_told_at_once(house) -> None:
    lines = ['{dark: "gabel[3]"}', "{sag: loft}", "{stuck: 7, colour: blue}", "{off: loft}"]
    with pytest.raises(InputError) as refused:
        read(house, *lines)
    assert [(each.line, each.column) for each in refused.value.problems] == [
        (3, 12), (4, 5), (5, 13), (5, 24),
    ]  # fmt: skip


def test_another_format(house) -> None:
    with pytest.raises(InputError, match="this is a file of format 'evenfall-house/1'"):
        faults_from_text("format: evenfall-house/1\nfaults: []\n", "f.yaml", house)
