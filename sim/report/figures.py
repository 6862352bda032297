"""Every figure of a catalogue row with where it comes from."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from layouts.records import Kind, Profile


@dataclass(frozen=True)
class Figure:
    """One value of a row, by its path in the data file."""

    path: str
    value: Any
    source: str
    tag: str  # how the value was got: datasheet, calc, from memory, …


def figures(thing: Any) -> Iterator[Figure]:
    """The sourced values of a kind, wire, material or profile, in the order of its file."""
    row = _written(thing)
    for path, said in (thing.sources or {}).items():
        source, tag = _split(said)
        yield Figure(path, _at(row, path), source, tag)


def _written(thing: Any) -> Any:
    """The row as its data file writes it, a kind with what it inherits."""
    from layouts.catalogue.tables import kind_entries, rows
    from layouts.inherit import merged

    if isinstance(thing, Kind):
        return merged(thing.name, kind_entries())
    return rows("profiles")[thing.name] if isinstance(thing, Profile) else thing


def _at(row: Any, path: str) -> Any:
    for key in path.split("."):
        row = row[key] if isinstance(row, dict) else getattr(row, key, None)
    return row


def _split(said: str) -> tuple[str, str]:
    found = re.fullmatch(r"(.*?)\s*\[([^\]]*)\]", said)
    return (found[1], found[2]) if found else (said, "")
