"""Around the values in YAML text: the line, dash, colon and comma that belong to them.

Text and offsets in, offsets out. Where a value begins and ends the nodes know; here is only what
stands between them.
"""

from __future__ import annotations

import re

_TO_COLON = re.compile(r"[ \t]*:")
_GAP = r"(?:[ \t\r\n]+|(?<![^\s\[{,])#[^\n]*)*"
_TO_DASH = re.compile(rf"(?:&\S+)?{_GAP}-")
_TO_COMMA = re.compile(rf"{_GAP},")


class NotThere(Exception):
    """What was looked for is not there: the text is written in a way not foreseen."""


def _past(pattern: re.Pattern[str], text: str, start: int) -> int:
    found = pattern.match(text, start)
    if found is None:
        raise NotThere
    return found.end()


def past_colon(text: str, key_end: int) -> int:
    """One past the colon behind a key."""
    return _past(_TO_COLON, text, key_end)


def dash(text: str, start: int) -> int:
    """The first dash at or below `start`, with nothing but space and comments before it."""
    return _past(_TO_DASH, text, start) - 1


def comma(text: str, start: int) -> int | None:
    """The comma behind an entry that ends at `start`, None where there is none."""
    found = _TO_COMMA.match(text, start)
    return found.end() - 1 if found else None


def line_start(text: str, offset: int) -> int:
    return text.rfind("\n", 0, offset) + 1


def line_end(text: str, offset: int) -> int:
    """The end of the line in which `offset` is, before its line break."""
    end = text.find("\n", offset)
    if end < 0:
        return len(text)
    return end - 1 if text[offset:end].endswith("\r") else end


def next_line(text: str, offset: int) -> int:
    """Where the line after that of `offset` begins."""
    end = text.find("\n", offset)
    return len(text) if end < 0 else end + 1


def column(text: str, offset: int) -> int:
    """How many characters stand before `offset` in its line."""
    return offset - line_start(text, offset)


def newline(text: str) -> str:
    """The line break that the text uses."""
    return "\r\n" if "\r\n" in text else "\n"


def with_lines(text: str, offset: int, lines: list[str]) -> str:
    """The text with `lines` below the line in which `offset` is."""
    at, ending = next_line(text, offset), newline(text)
    if at == len(text) and not text.endswith("\n"):
        return text + ending + ending.join(lines)
    return text[:at] + "".join(line + ending for line in lines) + text[at:]


def without(text: str, start: int, end: int) -> str:
    """The text without what stands from `start` to `end`, and without a line left empty by it.

    A comment at the end of such a line goes with it.
    """
    first, rest = line_start(text, start), text[end : line_end(text, end)]
    if text[first:start].strip() == "" and re.fullmatch(r"\s*(?:#.*)?", rest):
        return text[:first] + text[next_line(text, end) :]
    if rest.strip() == "":
        return text[:start].rstrip(" \t") + text[end:]
    return text[:start] + text[end:].lstrip(" \t")


def without_first(text: str, start: int, end: int) -> str:
    """The text without a first entry that shares its line with what it is an entry of.

    What follows below, a comment too, takes its place.
    """
    below = re.compile(r"\s*").match(text, line_end(text, end))
    return text[:start] + text[below.end() if below else end :]
