"""What can be wrong with a file somebody wrote.

    EvenfallError            anything the tool refuses, in words for the user
    ├── InputError           one or more problems in one file, all of them at once
    └── UnmixableKind        a kind whose figures cannot be computed with, found long after reading

    ValueError of a value, which the reader of files makes a Problem of
    ├── PlacedError          it knows at which character of the value
    ├── ToldElsewhere        its cause is a problem already; nothing more is told of it
    └── KindError            it belongs to one kind, at a path inside its entry

This module imports nothing of the project, so every package can raise these.
"""

from __future__ import annotations

from dataclasses import dataclass

#: Longer words are cut in the middle where they are told [characters].
LONGEST_WORD = 80


#: So many problems of one call are told; the rest is counted.
MOST_TOLD = 40


def harmless(text: str) -> str:
    """`text` in one line that commands no terminal: what is not printable stands as its escape.

    Line ends become spaces; format characters that turn or hide writing count as not printable.
    """
    if text.isprintable():
        return text
    return "".join(_printable(each) for each in text)


def _printable(one: str) -> str:
    if one.isprintable():
        return one
    return " " if one in "\t\n\r" else ascii(one)[1:-1]


def shown(text: str) -> str:
    """`text` as it can be told in a line: no control characters, no word without an end."""
    plain = harmless(text)
    if len(plain) <= LONGEST_WORD:
        return plain
    for word in plain.split():
        if len(word) > LONGEST_WORD:
            plain = plain.replace(word, f"{word[:50]}…{word[-20:]}")
    return plain


class EvenfallError(Exception):
    """A refusal in words for the user; the command line prints it and exits with 2."""


class PlacedError(ValueError):
    """What is wrong with a text, from its character `offset` on; what to do after a semicolon."""

    def __init__(self, text: str, offset: int):
        super().__init__(text)
        self.offset = offset


class ToldElsewhere(ValueError):
    """A value that cannot be had because of something that is told already."""


class KindError(ValueError):
    """What is wrong with one kind; `path` leads to it inside the entry, () where it inherits it."""

    def __init__(self, path: tuple[str, ...], what: str, do: str = ""):
        self.path, self.what, self.do = path, what, do
        super().__init__(f"{what}; {do}" if do else what)


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

    def __post_init__(self) -> None:
        object.__setattr__(self, "what", shown(self.what))
        object.__setattr__(self, "do", shown(self.do))

    def __str__(self) -> str:
        hint = f"; {self.do}" if self.do else ""
        file = harmless(self.file)
        where = f"{file}:{self.line}:{self.column}" if self.line else file
        return f"{where}: {self.what}{hint}"


class InputError(EvenfallError):
    """Every problem found in the files of one call, in reading order.

    Its words tell the first MOST_TOLD and how many more there are; `problems` holds all.
    """

    def __init__(self, problems: list[Problem] | tuple[Problem, ...]):
        self.problems = tuple(sorted(problems, key=_reading_order))
        told = [str(problem) for problem in self.problems[:MOST_TOLD]]
        more = len(self.problems) - len(told)
        if more:
            first = self.problems[MOST_TOLD]
            what = "1 more problem" if more == 1 else f"{more:,} more problems"
            rest = Problem(first.file, first.line, first.column, what, "mend the first ones first")
            told.append(str(rest))
        super().__init__("\n".join(told))


def _reading_order(problem: Problem) -> tuple[str, int, int, str, str]:
    return problem.file, problem.line, problem.column, problem.what, problem.do


class UnmixableKind(EvenfallError):
    """A kind that cannot be computed with; `layouts.kind_place` says where it is written."""

    def __init__(self, kind: str, what: str, do: str, channel: str = ""):
        self.kind, self.what, self.do, self.channel = kind, what, do, channel
        super().__init__(f"kind {kind}: {what}; {do}")
