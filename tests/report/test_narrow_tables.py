"""No figure of a table is cut, however narrow the terminal, nor parted from its unit.

What is asked here is common practice, no source: a figure of which a part is missing is another
figure. The tables are those that the verbs print of the houses of `demo/`, each made once.
"""

import io
import re
from collections import Counter
from dataclasses import replace
from pathlib import Path

import pytest
from rich.console import Console
from rich.text import Text
from typer.testing import CliRunner

from layouts.finding import Finding
from sim.cli.main import app_of
from sim.report import terminal
from sim.report.blocks import (
    Cautions,
    Findings,
    Listed,
    Row,
    Section,
    Table,
    columns,
    note,
    row,
    section,
    spans,
    words,
)
from sim.report.column_widths import column_widths
from sim.report.line_breaks import Prose, broken, pieces

DEMO = Path(__file__).parents[2] / "demo"
SHORT = ("--seconds", "250ms")
CALLS = {
    **{f"list {what}": ("list", what) for what in ("kinds", "effects", "wires", "profiles")},
    "list materials": ("list", "materials"),
    "list one": ("list", "kinds", "ws2811-12v-group3"),
    "power bungalow": ("power", "bungalow/house.yaml", "bungalow/evening.scheme.yaml", *SHORT),
    "power cottage": (
        *("power", "cottage/house.yaml", "cottage/evening.scheme.yaml", "--at", "0s"),
        *SHORT,
    ),
    "power townhouse": ("power", "townhouse/house.yaml", "townhouse/evening.scheme.yaml", *SHORT),
    "patch bungalow": ("patch", "bungalow/house.yaml"),
    "patch townhouse": ("patch", "townhouse/house.yaml"),
    "parts cottage": ("parts", "cottage/house.yaml"),
    "plan bungalow": ("plan", "bungalow/house.yaml", "--anew"),
    "fault cottage": (
        *("fault", "cottage/house.yaml", "cottage/evening.scheme.yaml"),
        "cottage/after-the-storm.faults.yaml",
    ),
}
MOST_ROWS = 24
UNIT = r"(?:[mkµ]?(?:V|A|W|Wh|Hz|m|s|Ω)|%|°C|K|lm|mm²?|px|AWG|ft)"
FIGURE = re.compile(rf"\d[\d.,–]*(?: \d\d\d(?!\d))*(?: {UNIT}(?![^\W_]))?")


@pytest.fixture(scope="module")
def tables():
    """The tables each call prints, with whether they are set in."""
    told, kept = {}, terminal.print_blocks
    try:
        for name, call in CALLS.items():
            made = []
            terminal.print_blocks = lambda console, blocks, made=made: made.extend(blocks)
            words = [str(DEMO / word) if "/" in word else word for word in call]
            done = CliRunner().invoke(app_of((call[0], "schema")), words)
            assert done.exit_code in (0, 1), done.output
            told[name] = [each for block in made for each in _tables(block)]
    finally:
        terminal.print_blocks = kept
    return told


def _tables(block):
    if isinstance(block, Table):
        return [replace(block, rows=block.rows[:MOST_ROWS])]
    if isinstance(block, Section):
        inside = [each for part in block.blocks for each in _tables(part)]
        return [replace(block, heading="", blocks=(each,)) if isinstance(each, Table) else each
                for each in inside]  # fmt: skip
    return []


def _shown_at(block, width):
    """The table with the columns that a terminal of this width has, and those alone."""
    if isinstance(block, Section):
        return replace(block, blocks=tuple(_shown_at(each, width) for each in block.blocks))
    hidden = "narrow" if width >= terminal.WIDE else "wide"
    kept = [n for n, column in enumerate(block.columns) if column.when != hidden]
    return Table(
        tuple(replace(block.columns[n], when="always") for n in kept),
        tuple(Row(tuple(each.cells[n] for n in kept), each.look) for each in block.rows),
        block.head,
    )


def _said(block, width):
    console = Console(
        file=io.StringIO(), width=width, markup=False, highlight=False, color_system=None
    )
    terminal.print_blocks(console, [block])
    return console.file.getvalue()


def _figures(block, width):
    lines = _said(block, width).split("\n")
    assert max(map(len, lines)) <= width
    return Counter(found for line in lines for found in FIGURE.findall(line))


def test_every_figure_is_whole(tables):
    assert sum(map(len, tables.values())) > 30
    for name, blocks in tables.items():
        for block in blocks:
            meant = {
                wide: _figures(_shown_at(block, width), 400)
                for wide, width in ((False, terminal.WIDE - 1), (True, terminal.WIDE))
            }
            for width in (30, 40, 50, 60, 80, 120):
                missing = meant[width >= terminal.WIDE] - _figures(block, width)
                assert not missing, f"{name}\n{_said(block, width)}"


def test_lists_that_had_been_cut():
    """A clock of 20 kHz has been shown as "20 00" at the width terminals have by default."""
    wide = Table(
        columns("|kind", "what it is", ">Hz"), (row("a-rather-long-name", "word " * 9, "20 000"),)
    )
    for width in (20, 24, 30, 44, 80):
        said = _said(wide, width)
        assert "20 000" in said
        assert "…" not in said
    assert _said(wide, 20).split("\n")[:3] == [
        "kind: a-rather-",
        "  long-name",
        "  what it is: word",
    ]


def test_names_are_broken_after_hyphens_between_letters():
    assert pieces("roof-space") == ["roof-", "space"]
    assert pieces("J-trim") == ["J-trim"]
    assert pieces("eave-2 ws2811-12v-group3") == ["eave-2 ", "ws2811-12v-", "group3"]
    assert pieces("2026-11-26 −12.5 V") == ["2026-11-26 ", "−12.5 V"]


def test_a_figure_stays_with_its_thousands_and_its_unit():
    assert pieces("garage 0.618 A at 12 096 pixels") == [
        *("garage ", "0.618 A ", "at ", "12 096 ", "pixels")
    ]
    assert pieces("5 Amigos, 3 ms, ± 2 %") == ["5 ", "Amigos, ", "3 ms, ", "± 2 %"]


def test_a_piece_that_is_too_long_is_not_broken_within_a_figure():
    told = broken(Text("abcdefgh1234567 rest"), 10, fold=True).plain
    assert told == "abcdefgh\n1234567\nrest"


def test_columns_give_way_down_to_their_pieces_and_no_further():
    texts = [[Text("name"), Text("roof-space")], [Text("A"), Text("0.5 A to 0.618 A")]]
    assert column_widths(texts, (True, False), 40) == [10, 16]
    assert column_widths(texts, (True, False), 20) == [5, 13]
    assert column_widths(texts, (True, False), 14) == [5, 7]
    assert column_widths(texts, (True, False), 13) is None


def test_cells_keep_their_looks_over_lines():
    told = broken(Text.assemble(("roof-space ", "bold"), ("0.5 A", "red")), 7)
    assert told.plain == "roof-\nspace\n0.5 A"
    assert {told.plain[s.start : s.end].strip(): s.style for s in told.spans}["0.5 A"] == "red"


@pytest.mark.parametrize("width", [20, 24, 31, 40, 58, 66, 80, 200])
def test_prose_never_parts_a_figure_from_its_unit(width):
    told = "12.5 A at 3 s: garage 0.618 A, hedge 1 230 mA; 12 096 pixels, ± 2 %, at 20 °C, 18 AWG"
    found = Finding("note", "a-code", "here", told)
    worst = section("Worst", words(("12.5 A", "strong"), told[6:]))
    each = (words(told), note(told), Cautions((told,)), Listed((spans(told),)))
    for block in (*each, worst, Findings((found,))):
        said = _said(block, width)
        for whole in ("0.618 A", "1 230 mA", "12 096", "± 2 %", "20 °C", "18 AWG", "3 s"):
            assert whole in said
        assert told in " ".join(said.split()) or width < 80
        assert set(said) <= {*told, *"!Worst note here a-code", "\n"}


def test_prose_that_needs_no_second_line_is_as_rich_sets_it():
    told = Text.assemble("a ", ("0.618 A", "bold"), " b\nc ", ("3 s", "red"))
    shown = []
    for each in (told, Prose(told)):
        console = Console(
            file=io.StringIO(), width=40, force_terminal=True, color_system="truecolor"
        )
        console.print(each)
        shown.append(console.file.getvalue())
    assert shown[0] == shown[1]
