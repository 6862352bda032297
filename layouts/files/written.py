"""What somebody wrote, as problems need it: with lines and columns, or by the path alone.

A file that was read (`document.Document`) knows where everything stood; plain Python does not, and
its problems name the path instead: `runs[2].path`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Protocol

from layouts.errors import Problem

#: A key of a mapping or an index of a list; a path is any number of them.
Step = str | int
Path = tuple[Step, ...]


class Written(Protocol):
    """Plain Python, and where in it a problem is."""

    @property
    def file(self) -> str:
        """The file, as it was named; "" where there is none."""

    @property
    def data(self) -> Any:
        """What was written."""

    @property
    def problems(self) -> tuple[Problem, ...]:
        """What was wrong before any model was held against it."""

    def problem(
        self, path: Sequence[Step], what: str, do: str = "", *, key: bool = False, offset: int = 0
    ) -> Problem:
        """A problem with what stands at `path`, from the character `offset` of a text on."""

    def line_at(self, path: Sequence[Step], key: bool = False) -> tuple[str, int]:
        """The line on which what stands at `path` begins, and the column where."""


@dataclass(frozen=True)
class PlainData:
    """A mapping made in code; its problems name the path where a file's name the line."""

    data: Any
    file: str = ""
    problems: tuple[Problem, ...] = ()

    def problem(
        self, path: Sequence[Step], what: str, do: str = "", *, key: bool = False, offset: int = 0
    ) -> Problem:
        return Problem(path_text(path) or "house", 0, 0, what, do)

    def line_at(self, path: Sequence[Step], key: bool = False) -> tuple[str, int]:
        return "", 1  # nothing was typed, so no slip of the pen can be seen


def path_text(path: Sequence[Step]) -> str:
    """A path as people read it: `runs[2].path`."""
    text = ""
    for step in path:
        text += f"[{step}]" if isinstance(step, int) else f".{step}" if text else step
    return text
