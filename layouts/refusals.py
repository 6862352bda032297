"""Collecting problems while a house is put together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from layouts.document import Document, Step
from layouts.errors import InputError, Problem
from layouts.names import did_you_mean


class Refusals:
    """The problems of one document, gathered until `raise_any`."""

    def __init__(self, document: Document):
        self.document = document
        self._problems: list[Problem] = []

    def add(self, path: Sequence[Step], what: str, do: str = "", *, key: bool = False) -> None:
        """One more problem, with what stands at `path`."""
        self._problems.append(self.document.problem(path, what, do, key=key))

    def unknown(self, path: Sequence[Step], what: str, name: str, names: Iterable[str]) -> None:
        """`name`, at `path`, is no `what`."""
        self.add(path, f"unknown {what} '{name}'", did_you_mean(name, names))

    def raise_any(self) -> None:
        """Raises InputError if there were problems."""
        if self._problems:
            raise InputError(self._problems)
