"""The table of all ratios: a figure that slipped, or is gone from the lines, is told."""

from __future__ import annotations

import importlib.util
import re
import sys
from pathlib import Path

BENCH = Path(__file__).parent / "bench"
_spec = importlib.util.spec_from_file_location("bench_table", BENCH / "all.py")
assert _spec is not None
assert _spec.loader is not None
table = importlib.util.module_from_spec(_spec)
sys.modules[_spec.name] = table
_spec.loader.exec_module(table)


def test_what_is_asked_stands_beside_what_was_measured() -> None:
    slowest = table.Figure("scan", "slowest", r"([\d.]+) × real time", min, least=300)
    lines = "a: 350 × real time\nb: 299 × real time\n"
    assert table.row(slowest, lines, "").split() == [
        "scan",
        "slowest",
        "299",
        "≥",
        "300",
        "SLIPPED",
    ]
    assert table.row(slowest, lines.replace("299", "300"), "").split()[-1] == "300"
    assert table.row(slowest, "", "").endswith("no such line")
    assert table.row(slowest, "", "ngspice is missing").endswith("ngspice is missing")
    most = table.Figure("start", "help", r"([\d.]+) ×", max, most=2)
    assert table.row(most, "2.01 ×", "").endswith("SLIPPED")
    assert not most.slipped(2.0)


def test_every_figure_belongs_to_a_script_and_is_one_number() -> None:
    for figure in table.FIGURES:
        assert (BENCH / f"bench_{figure.script}.py").is_file()
        assert re.compile(figure.pattern).groups == 1
