"""Tables for other programs: no cell is a formula, none breaks its line, all are read back."""

import csv
import io
from types import SimpleNamespace

import numpy as np
import pytest

from sim.report.csv_cells import csv_cell, csv_line
from sim.report.power_data import totals_lines


@pytest.mark.parametrize(
    "name", ["=1+1", "+cmd", "-2", "@SUM(A1)", " =1", "\t=1", "\r@x", "\x1b=1"]
)
def test_no_cell_is_a_formula(name):
    # cells that a table program may reckon begin with = + - @, also behind spaces and tabs
    # (OWASP, "CSV Injection")
    assert csv_cell(name).startswith("'")
    assert csv_cell(name).isprintable()


def test_what_is_written_is_read_back():
    cells = ['a "quoted" name', "comma, semicolon;", "two\nlines", "plain", None, 1.25, 3]
    read = next(csv.reader(io.StringIO(csv_line(cells))))
    assert read == ['a "quoted" name', "comma, semicolon;", "two lines", "plain", "", "1.25", "3"]


def test_names_of_columns_are_cells_too():
    named = [SimpleNamespace(name='=HYPERLINK("x")'), SimpleNamespace(name='b",\n')]
    house = SimpleNamespace(supplies=named, runs=named)
    amps = np.ones((2, 2))
    loads = SimpleNamespace(
        dc_w=np.ones(2), copper_w=np.ones(2), supply_a=amps, run_a=amps, run_v=amps
    )
    rows = list(csv.reader(io.StringIO("\n".join(totals_lines(house, np.arange(2), loads)))))
    assert len(rows) == 3
    assert {len(row) for row in rows} == {9}
    assert not any(cell.lstrip()[:1] in "=+-@" for cell in rows[0])
