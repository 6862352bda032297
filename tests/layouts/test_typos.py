"""Slips of the pen that a person makes in a house file, and the one line that answers each."""

from __future__ import annotations

import contextlib
import time
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from layouts import load_house
from layouts.errors import InputError
from layouts.files.nodes import tree
from layouts.files.numerals import mended, number_hint

HOUSE = """\
format: evenfall-house/1
name: Base
location: {latitude: 50, longitude: 8, timezone: Europe/Berlin, country: DE}
drawing: {size: [6, 4], viewer: 8}
runs:
  - {name: left, pixels: sk6812, path: [[1, 2.4], [3, 3.4]], aim: 45, standoff: 10 cm}
  - {name: right, pixels: sk6812, path: [[3, 3.4], [5, 2.4]], aim: 45, standoff: 10 cm}
zones:
  gable: [left, right]
  peak: ["left[100:134]", "right[0:34]"]
supplies:
  - {name: box, volts: 5, amps: 20, efficiency: 0.86}
wires:
  - {from: box, to: left.start, wire: 14 AWG, length: 2 m, fuse: 7.5}
  - {from: box, to: right.end, wire: 14 AWG, length: 5 m, fuse: 7.5}
outputs:
  - {name: A, chain: [left, right]}
"""
WIRES = HOUSE.partition("wires:\n")[2].partition("outputs:")[0]
NOWHERE = "nothing else reaches junction 'bxo': a wire to nowhere; did you mean 'box'?"
Refused = Callable[[str], list[str]]


@pytest.mark.parametrize(
    ("old", "new", "problem"),
    [
        # decimal commas
        ("length: 2 m", "length: 2,¶5 m", "unknown key '5 m'; write a decimal point: 2.5 m"),
        ("amps: 20", "amps: 20,¶5", "unknown key '5'; write a decimal point: 20.5"),
        ("latitude: 50", "latitude: 50,¶5", "unknown key '5'; write a decimal point: 50.5"),
        (
            "length: 2 m",
            'length: ¶"2,5 m"',
            "'2,5 m' is not a length; write a decimal point: 2.5 m",
        ),
        ("14 AWG", '¶"1,5 mm2"', "'1,5 mm2' is not a wire size; write a decimal point: 1.5 mm2"),
        (
            "efficiency: 0.86",
            'efficiency: ¶"0,86"',
            "expected a number, found '0,86'; write a decimal point: 0.86",
        ),
        (
            "[[1, 2.4]",
            "[¶[1, 2,4]",
            "a list of 3, where at most 2 belong; did you mean 2.4? write a decimal point",
        ),
        (
            "[[1, 2.4]",
            "[¶[1,5, 2,4]",
            "a list of 4, where at most 2 belong; did you mean 1.5 and 2.4? write a decimal point",
        ),
        ("[[1, 2.4]", "[¶[1, 2, 4]", "a list of 3, where at most 2 belong; leave some out"),
        # units and signs where a bare number belongs
        ("volts: 5", "volts: ¶5 A", "expected a number, found '5 A'; write the number alone, in V"),
        ("amps: 20", 'amps: ¶"20"', "expected a number, found '20'; write 20 without quotes"),
        (
            "amps: 20",
            "amps: ¶20 VA",
            "expected a number, found '20 VA'; write the number alone, in A",
        ),
        (
            "latitude: 50",
            "latitude: ¶−50",
            "expected a number, found '−50'; write -50 with a plain minus",
        ),
        ("aim: 45", "aim: ¶−45", "'−45' is not an aim; write -45 with a plain minus"),
        # nothing where something belongs
        (
            f"wires:\n{WIRES}",
            "wires:¶\n",
            "expected a list, found nothing; write [] or leave the key out",
        ),
        (
            "efficiency: 0.86",
            "efficiency: ¶",
            "expected a number, found nothing; write one or leave the key out",
        ),
        ("volts: 5", "volts: ¶", "expected a number, found nothing; write one"),
        # quotes, tabs, brackets
        ("name: Base", "name: ¶“Base”", 'typographic quotes; write straight quotes: "Base"'),
        (
            '"left[100:134]"',
            "¶“left[100:134]”",
            'typographic quotes; write straight quotes: "left[100:134]"',
        ),
        (
            '"left[100:134]"',
            "¶left[100:134]",
            'left[100:134] has brackets; put "left[100:134]" in quotes',
        ),
        (
            "to: left.start,",
            "to: ¶left[75],",
            'left[75] has brackets; put "left[75]" in quotes',
        ),
        ("  - {name: left", "¶\t- {name: left", "a tab; YAML is indented with spaces"),
        (
            "7.5}\n  - {from: box",
            "7.5\n  - ¶{from: box",
            "this is not YAML: did not find expected ',' or '}'; correct the line, or close the {"
            " of line 14, column 5",
        ),
        (
            "from: box, to: left",
            "from: ¶@box, to: left",
            "this is not YAML: found character that cannot start any token; put the text in quotes",
        ),
        (
            "name: Base",
            "¶name Base",
            "this is not YAML: could not find expected ':'; write 'key: value'",
        ),
        (
            "  - {name: right",
            "   ¶- {name: right",
            "this is not YAML: did not find expected '-' indicator; check the line and its"
            " indentation",
        ),
        # names
        ("from: box, to: left", "from: ¶bxo, to: left", NOWHERE),
        (
            "name: right,",
            "name: ¶left,",
            "'left' is already the name of another run; choose another",
        ),
        ("{name: right,", "{¶nmae: right,", "unknown key 'nmae'; did you mean 'name'?"),
        # far off
        (
            "standoff: 10 cm",
            "standoff: ¶100",
            "run 'left' stands off 100 m, beyond the viewer at 8 m; check the unit: '100 mm'?",
        ),
    ],
)
def test_a_slip_is_answered_by_one_line(refused: Refused, old: str, new: str, problem: str) -> None:
    assert old in HOUSE
    assert refused(HOUSE.replace(old, new, 1)) == [f"¶ {problem}"]


def test_far_off_is_told_in_the_units_of_the_house(refused: Refused) -> None:
    in_feet = HOUSE.replace("name: Base\n", "name: Base\nunits: ft\n")
    # of a run so much shorter, more is told: spans and pads beyond its 40 pixels
    told = refused(in_feet.replace("standoff: 10 cm", "standoff: ¶100", 1))
    assert (
        "¶ run 'left' stands off 100 ft, beyond the viewer at 8 ft; check the unit: '100 in'?"
        in (told)
    )


def test_a_run_may_not_be_called_all(refused: Refused) -> None:
    text = HOUSE.replace("name: right,", "name: ¶all,").replace("[left, right]", "[left, all]")
    text = text.replace("right[0:34]", "all[0:34]").replace("right.end", "all.end")
    told = ["¶ 'all' is every pixel; choose another name"]
    assert refused(text) == told
    assert refused(HOUSE.replace("name: right,", "name: ¶all,")) == told


def test_two_decimal_commas_in_one_entry(refused: Refused) -> None:
    text = HOUSE.replace("volts: 5, amps: 20", "volts: 5,5, amps: 20,5")
    assert refused(text) == [
        "12:26: unknown key '5'; write a decimal point: 5.5",
        "12:38: the key '5' is here twice; write a decimal point: 20.5",
    ]


def test_a_house_may_be_half_wired(tmp_path: Path) -> None:
    """A run that nothing feeds is no mistake of the file: `check` tells it, `plan` feeds it."""
    fed = "  - {from: box, to: right.end, wire: 14 AWG, length: 5 m, fuse: 7.5}\n"
    file = tmp_path / "house.yaml"
    file.write_text(HOUSE.replace(fed, ""))
    assert [wire.end.text for wire in load_house(file).wires] == ["left.start"]


def test_long_lines_of_slips_are_answered_soon(tmp_path: Path) -> None:
    """What a slip costs does not grow with the line it stands on."""
    began = time.process_time()
    file = tmp_path / "house.yaml"
    file.write_text(HOUSE.replace("amps: 20", "amps: 20,5," + "5 A, " * 40_000))
    with pytest.raises(InputError):
        load_house(file)
    file.write_text(HOUSE.replace("[left, right]", f"[left,{' ~,' * 40_000} right]"))
    with pytest.raises(InputError):
        load_house(file)
    assert time.process_time() - began < 20


def test_quoted_and_commented_text_is_no_slip() -> None:
    """What looks like a slip inside quotes or a comment is not taken for the cause."""
    text = "a: \"left[3] “x” #ff0000\" # left[3]\nb: 'it''s #fff'\nc: [1\n"
    with pytest.raises(InputError, match="close the \\[ of line 3, column 4"):
        tree(text, "x")


# The SI: 1 A = 1000 mA, 1 nm = 0.001 µm.
@pytest.mark.parametrize(
    ("text", "key", "do"),
    [
        ("0.02 A", "ma", "write 20"),
        ("622 nm", "nm", "write 622"),
        ("5 ohm", "source_ohm", "write 5"),
        ("68 F", "temperature_c", "write the number alone, in °C"),
        ("20 °C", "temperature_c", "write 20"),
        ("90 s", "seconds", "write 90"),
        ("2 min", "seconds", "write the number alone, in s"),
        ("12,5 %", "efficiency", "write 0.125"),
        ("2 apples", "count", "write the number alone"),
        ("warm", "temperature_c", ""),
        ("", "amps", ""),
    ],
)
def test_numbers_with_something_behind_them(text: str, key: str, do: str) -> None:
    assert number_hint(text, key) == do


@given(st.floats(-1e4, 1e4, allow_nan=False).map(lambda value: f"{value:.3f}"))
def test_a_mended_number_is_the_number(text: str) -> None:
    assert mended(text) == (text, "")
    assert mended(text.replace(".", ","))[0] == text
    assert mended(text.replace("-", "−"))[0] == text


@given(st.text(max_size=80))
def test_any_text_is_yaml_or_refused(text: str) -> None:
    for lead in ("", "a: [", "a:\n\t", "a: “"):
        with contextlib.suppress(InputError):
            tree(lead + text, "x")
