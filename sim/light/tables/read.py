"""Tables of the light as data files; every row carries its source.

A line that begins with # is a comment.
"""

from __future__ import annotations

import csv
from pathlib import Path

FOLDER = Path(__file__).parent


def rows(name: str) -> list[dict[str, str]]:
    """The rows of one table, each value as written; "" where the table gives none."""
    text = (FOLDER / f"{name}.csv").read_text("utf-8")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    return list(csv.DictReader(lines))
