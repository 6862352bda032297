"""Slips of the pen that only the lines as written show, and what to write instead."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

_QUOTED = re.compile(r"\"(?:\\.|[^\"\\])*\"|'(?:''|[^'])*'")
#: Colours without quotes: three or six hexadecimal digits and no more.
_HASH = re.compile(r"(?:^|(?<=[\s\[,{]))#(?:[0-9a-fA-F]{6}|[0-9a-fA-F]{3})(?!\w)")
#: The same behind a comma or bracket, with nothing after it: a list goes on or ends there.
_HASH_IN_LIST = re.compile(r"(?<=[,\[])\s+#([0-9a-fA-F]{6})[\s,\]}]*$")
_SLICE = re.compile(r"(?:[\[,{]|:\s)\s*(\w[\w \-]*\[[-\d: ]*\])")
_CURLY = re.compile('[“”„‟«»]([^“”„‟«»"]*)[“”„‟«»]?')
_WHOLE_CURLY = re.compile("[“”„‟«‘‚]([^“”„‟«»‘’]*)[“”»’‘]")
_TIGHT = re.compile(r"(?<![\d.])(\d+),(\d+)(?![\d.])")
_BEFORE = re.compile(r"(?<![\d.])([-+]?\d+),$")
_LOST = re.compile(r"\s*(#(?:[0-9a-fA-F]{6}|[0-9a-fA-F]{3}))(?!\w)")
#: No number is longer; what stands further before a place is not looked at, however long the line.
_REACH = 24


@dataclass(frozen=True)
class Typo:
    """What was found, where (line and column from 1), and what to do."""

    line: int
    column: int
    what: str
    do: str


def not_yaml(lines: Sequence[str], first: int, last: int) -> Typo | None:
    """The likely cause of what is not YAML in `lines` `first` to `last`, counted from 1."""
    for number in range(first, min(last, len(lines)) + 1):
        line = lines[number - 1]
        indent = line[: len(line) - len(line.lstrip())]
        if "\t" in indent:
            column = indent.index("\t") + 1
            return Typo(number, column, "a tab", "YAML is indented with spaces")
        bare = _QUOTED.sub(lambda quoted: "·" * len(quoted[0]), line)
        if curly := _CURLY.search(bare):
            do = f'write straight quotes: "{line[slice(*curly.span(1))]}"'
            return Typo(number, curly.start() + 1, "typographic quotes", do)
        if colour := _HASH.search(bare):
            return Typo(number, colour.start() + 1, *_comment(colour[0]))
        if part := _SLICE.search(bare):
            what = f"{part[1]} has brackets"
            return Typo(number, part.start(1) + 1, what, f'put "{part[1]}" in quotes')
    return None


def curly_quoted(text: str) -> str | None:
    """What stands between the typographic quotes that `text` is in, None where it is in none."""
    found = _WHOLE_CURLY.fullmatch(text)
    return found[1] if found else None


def lost_colour(line: str, column: int) -> str:
    """What to do where nothing is found at `column` because a colour there reads as a comment."""
    found = _LOST.match(line, column - 1)
    return "; ".join(_comment(found[1])) if found else ""


def lost_in_lists(lines: Sequence[str]) -> list[Typo]:
    """Colours without quotes that a list over several lines loses without a word."""
    lost = []
    for number, line in enumerate(lines, 1):
        bare = _QUOTED.sub(lambda quoted: "·" * len(quoted[0]), line)
        if found := _HASH_IN_LIST.search(bare):
            lost.append(Typo(number, found.start(1), *_comment("#" + found[1])))
    return lost


def _comment(colour: str) -> tuple[str, str]:
    return "# starts a comment", f'write "{colour}" in quotes'


def cut_by_comma(line: str, column: int, key: str) -> str:
    """What to do about `key` at `column` of `line` where it is what follows a decimal comma."""
    before = _BEFORE.search(line[max(0, column - _REACH) : column - 1])
    if before and key[:1].isdigit():
        return f"write a decimal point: {before[1]}.{key}"
    return ""


def too_many_by_commas(line: str, column: int, extra: int) -> str:
    """What to do about a list at `column` of `line` that decimal commas made `extra` longer."""
    end = line.find("]", column)
    tight = _TIGHT.findall(line[column - 1 : end + 1 or None])
    if not tight or len(tight) != extra:
        return ""
    meant = " and ".join(f"{whole}.{part}" for whole, part in tight)
    return f"did you mean {meant}? write a decimal point"
