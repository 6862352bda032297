"""What can be wrong with a file somebody wrote.

    EvenfallError            anything the tool refuses, in words for the user
    └── InputError           one or more problems in one file, all of them at once

This module imports nothing of the project, so every package can raise these.
"""

from __future__ import annotations

from dataclasses import dataclass


class EvenfallError(Exception):
    """A refusal in words for the user; the command line prints it and exits with 2."""


@dataclass(frozen=True, order=True)
class Problem:
    """One thing wrong at one place of a file; line and column count from 1.

    For what was not read from a file `file` is the path, like `runs[2].path`, and the line is 0.
    """

    file: str
    line: int
    column: int
    what: str
    do: str = ""

    def __str__(self) -> str:
        hint = f"; {self.do}" if self.do else ""
        where = f"{self.file}:{self.line}:{self.column}" if self.line else self.file
        return f"{where}: {self.what}{hint}"


class InputError(EvenfallError):
    """Every problem found in the files of one call, in reading order."""

    def __init__(self, problems: list[Problem] | tuple[Problem, ...]):
        self.problems = tuple(sorted(problems))
        super().__init__("\n".join(str(problem) for problem in self.problems))
