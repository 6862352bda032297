"""Names of files may hold anything: no report of a terminal carries what would command it."""

import io

from rich.console import Console

from layouts.finding import Finding
from sim.report.blocks import Findings, Table, Title, columns, note, row, spans
from sim.report.terminal import print_blocks

#: ECMA-48 control sequences, a bell, and a character that turns the direction of writing.
EVIL = "Shed\x1b[2J\x1b]0;x\x07\x9b31m\u202e"


def test_no_block_commands_the_terminal():
    out = io.StringIO()
    found = Finding("note", "supply-class2", EVIL, text=EVIL)
    blocks = [
        Title(spans((EVIL, "strong"))),
        note(f"first {EVIL}\nsecond"),
        Table(columns("name"), (row(EVIL), row((EVIL, "warn")))),
        Findings((found,)),
    ]
    print_blocks(Console(file=out, width=80, color_system=None), blocks)
    told = out.getvalue()
    assert "Shed" in told
    assert "second" in told
    assert all(one.isprintable() or one == "\n" for one in told), ascii(told)
