"""A file as plain Python, and where each of its parts stands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from layouts.errors import Problem

if TYPE_CHECKING:
    from layouts.files.nodes import Node, Place

#: A key of a mapping or an index of a list; a path is any number of them.
Step = str | int
Path = tuple[Step, ...]


@dataclass(frozen=True)
class Document:
    """A file as plain Python (`data`), and where each of its parts stands.

    A key written twice keeps its first value, a number that is not finite becomes None; both are
    `problems`.
    """

    file: str
    data: Any
    root: Node
    problems: tuple[Problem, ...] = ()  # found while reading; `check` tells them with its own
    lines: tuple[str, ...] = ()  # as written

    def at(self, path: Sequence[Step] = (), key: bool = False) -> Place:
        """Line and column, both from 1, of the value at `path`, or of its key.

        Steps that lead nowhere are passed over, so the place of the nearest thing that exists
        is given.
        """
        node, place = self.root, self.root.at
        for step in path:
            child = node.child(step)
            if child is None:
                continue
            place = child.at
            if key and node.key_at is not None:
                place = node.key_at[step]
            node = child
        return place

    def node(self, path: Sequence[Step]) -> Node | None:
        """What stands at `path`, None where nothing does."""
        node: Node | None = self.root
        for step in path:
            node = node.child(step) if node is not None else None
        return node

    def line_at(self, path: Sequence[Step], key: bool = False) -> tuple[str, int]:
        """The line on which what stands at `path` begins, and the column where."""
        line, column = self.at(path, key)
        return self.lines[line - 1] if line <= len(self.lines) else "", column

    def problem(
        self, path: Sequence[Step], what: str, do: str = "", *, key: bool = False
    ) -> Problem:
        """A problem with what stands at `path`."""
        return Problem(self.file, *self.at(path, key), what, do)
