"""A bill of materials as JSON and as lines of a table for other programs."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from sim.parts import BillLine, CutList, MaterialBill

from .csv_cells import csv_line
from .wording import finding_json

COLUMNS = ("item", "part", "quantity", "unit", "price_each", "price", "for")


def as_json(bill: MaterialBill) -> dict[str, Any]:
    """Everything the bill says. `total` is null as long as a line has no price."""
    return {
        "house": bill.house,
        "currency": bill.parts.currency or None,
        "total": bill.total,
        "priced_total": bill.priced_total,
        "unpriced": len(bill.unpriced),
        "parts_file": bill.parts.file or None,
        "note": bill.parts.note,
        "lines": [line_json(line) for line in bill.lines],
        "cuts": [_cuts(each) for each in bill.cuts],
        "findings": [finding_json(each) for each in bill.findings],
    }


def as_csv(bill: MaterialBill) -> str:
    """One line a part, under the names of the JSON's fields."""
    rows = [line_json(line) for line in bill.lines]
    return "".join([csv_line(COLUMNS), *(csv_line(row[name] for name in COLUMNS) for row in rows)])


def line_json(line: BillLine) -> dict[str, Any]:
    """One line of a bill."""
    return {
        "item": line.item,
        "part": line.part,
        "quantity": line.quantity,
        "unit": line.unit,
        "price_each": line.price_each,
        "price": line.price,
        "for": line.purpose,
    }


def _cuts(each: CutList) -> dict[str, Any]:
    return {
        "item": each.item,
        "part": each.part,
        "kerf_m": each.kerf_m,
        "bars": [asdict(bar) for bar in each.bars],
        "least_bars": each.least_bars,
        "proven": each.proven,
    }
