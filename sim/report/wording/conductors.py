"""Conductors as a person is told them."""

from __future__ import annotations

from collections.abc import Iterable

#: What a name of `layouts.conductors` is called in a sentence, where it is not the name itself.
_CALLED = {"backup data": "the second data line"}


def conductors_text(names: Iterable[str]) -> str:
    """`+, − and data`."""
    called = [_CALLED.get(name, name) for name in names]
    *first, last = called
    return f"{', '.join(first)} and {last}" if first else last
