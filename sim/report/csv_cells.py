"""Lines of tables for other programs, whose cells none of them takes to reckon."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from typing import Any

from layouts.errors import shown

#: A cell that begins so, spaces apart, is a formula to a table program.
_FORMULA = ("=", "+", "-", "@")


def csv_line(cells: Iterable[Any]) -> str:
    """One line with its end: text safe, numbers without the arithmetic's last digits."""
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerow([csv_cell(each) for each in cells])
    return text.getvalue()


def csv_cell(value: Any) -> Any:
    """A number to nine digits; text without control characters and no formula."""
    if isinstance(value, float):
        return f"{value:.9g}"
    if isinstance(value, str):
        plain = shown("".join(one if one.isprintable() else " " for one in value))
        return f"'{plain}" if plain.lstrip().startswith(_FORMULA) else plain
    return "" if value is None else value
