"""Collecting problems while a house is put together."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from layouts.errors import InputError
from layouts.files.names import ALL, did_you_mean
from layouts.files.recovery import Recovery
from layouts.files.written import Path


class Refusals:
    """The problems of one house, gathered until `raise_any`.

    It was read from a file or made in code: what was `written` says how a place is told. Paths are
    those of the model that was made of it, from which broken parts may be missing.
    """

    def __init__(self, made: Recovery[Any]):
        self._made = made
        self._problems = list(made.problems)

    @property
    def file(self) -> str:
        """The file, as it was named."""
        return self._made.written.file

    @property
    def found(self) -> bool:
        """Whether anything was refused so far."""
        return bool(self._problems)

    def complete(self, *sections: str) -> bool:
        """Whether the model has all that the file has in these lists at its top."""
        return self._made.complete(sections)

    def keys(self, section: str) -> list[str]:
        """The keys of a mapping at the top of the file, broken ones too."""
        written = self._made.written.data.get(section)
        return [key for key in written if isinstance(key, str)] if isinstance(written, dict) else []

    def names(self, section: str) -> list[str]:
        """The names in a list at the top of the file, those of broken entries too."""
        written = self._made.written.data.get(section)
        entries = written if isinstance(written, list) else []
        named = [entry.get("name") for entry in entries if isinstance(entry, dict)]
        return [name for name in named if isinstance(name, str)]

    def named(self, section: str) -> bool:
        """Whether every entry of a list at the top of the file, broken or not, has a name."""
        return len(self.names(section)) == self._entries(section)

    def texts(self, section: str, keys: tuple[str, ...]) -> list[str] | None:
        """What every entry of a list at the top of the file, broken or not, has under `keys`; None
        where one has no text there."""
        written = self._made.written.data.get(section, [])
        if not isinstance(written, list):
            return None
        found = [entry.get(key) if isinstance(entry, dict) else None
                 for entry in written for key in keys]  # fmt: skip
        texts = [each for each in found if isinstance(each, str)]
        return texts if len(texts) == len(found) else None

    def wrote(self, *keys: str) -> bool:
        """Whether the file has anything under these keys, broken or not."""
        entry = self._made.written.data
        for key in keys:
            entry = entry.get(key) if isinstance(entry, dict) else None
        return entry is not None

    def add(self, path: Path, what: str, do: str = "", *, key: bool = False) -> None:
        """One more problem, with what stands at `path`."""
        place = self._made.original(path)
        self._problems.append(self._made.written.problem(place, what, do, key=key))

    def add_error(self, path: Path, error: ValueError) -> None:
        """One more problem: what `error` says, up to a semicolon, and what to do behind it."""
        what, _, do = str(error).partition("; ")
        self.add(path, what, do)

    def unknown(self, path: Path, what: str, name: str, names: Iterable[str]) -> None:
        """`name`, at `path`, is no `what`."""
        self.add(path, f"unknown {what} '{name}'", did_you_mean(name, names))

    def unknown_run(self, path: Path, name: str) -> None:
        """`name`, at `path`, is no run: told unless the name of a run is itself in doubt."""
        names = self.names("runs")
        doubtful = ALL in names or not len(set(names)) == len(names) == self._entries("runs")
        doubtful = doubtful or "runs" not in self._made.written.data
        if not doubtful:
            self.unknown(path, "run", name, names)

    def _entries(self, section: str) -> int:
        written = self._made.written.data.get(section)
        return len(written) if isinstance(written, list) else 0

    def raise_any(self) -> None:
        """Raises InputError if there were problems."""
        if self._problems:
            raise InputError(self._problems)
