"""Where values stand in YAML text: the spans that `writeback` replaces. Text in, offsets out.

Only as much of YAML as is needed to find an end; `writeback` reads its result again and trusts
nothing that does not come out as wanted.
"""

from __future__ import annotations

import re


def offset_of(text: str, line: int, column: int) -> int:
    """Where a place (line and column from 1) stands in the text."""
    lines = text.splitlines(keepends=True)
    return sum(len(one) for one in lines[: line - 1]) + column - 1


def end_of_value(text: str, start: int) -> int:
    """One past the value that starts at `start`: quoted, in brackets, or plain to its end."""
    first = text[start : start + 1]
    if first in ("'", '"'):
        return _end_of_quoted(text, start)
    if first in ("[", "{"):
        return end_of_brackets(text, start)
    line_end = text.find("\n", start)
    line = text[start : line_end if line_end >= 0 else len(text)].rstrip("\r")
    comment = re.search(r"\s#", line)
    plain = line[: comment.start()] if comment else line
    if _inside_brackets(text, start):
        stop = re.search(r"[,\]}]", plain)
        plain = plain[: stop.start()] if stop else plain
    return start + len(plain.rstrip())


def _end_of_quoted(text: str, start: int) -> int:
    quote, at = text[start], start + 1
    while at < len(text):
        if quote == '"' and text[at] == "\\":
            at += 2
            continue
        if text[at] == quote:
            if quote == "'" and text[at + 1 : at + 2] == "'":
                at += 2
                continue
            return at + 1
        at += 1
    return len(text)


def end_of_brackets(text: str, start: int) -> int:
    depth, at = 0, start
    while at < len(text):
        char = text[at]
        if char in "'\"" and text[at - 1] in " ,[{:\n":
            at = _end_of_quoted(text, at)
            continue
        if char == "#" and text[at - 1] in " \n":
            at = text.find("\n", at)
            if at < 0:
                return len(text)
        depth += {"[": 1, "{": 1, "]": -1, "}": -1}.get(char, 0)
        at += 1
        if depth == 0:
            return at
    return len(text)


def _inside_brackets(text: str, offset: int) -> bool:
    """Whether a place lies within `[…]` or `{…}` that opened before it."""
    at = 0
    while at < offset:
        if text[at] in "[{" and (at == 0 or text[at - 1] in " ,[{:\n-"):
            end = end_of_brackets(text, at)
            if end > offset:
                return True
            at = end
        elif text[at] in "'\"" and (at == 0 or text[at - 1] in " \n"):
            at = _end_of_quoted(text, at)
        elif text[at] == "#" and (at == 0 or text[at - 1] in " \n"):
            at = text.find("\n", at)
            if at < 0:
                return False
        else:
            at += 1
    return False


def block_list(text: str, start: int) -> int | None:
    """One past the last item of a list written in lines whose first dash is at `start`.

    None where no such list starts there. Comments and empty lines below the last item are left.
    """
    if text[start : start + 1] != "-" or text[start + 1 : start + 2] not in (" ", "\n", "\r"):
        return None
    column = start - (text.rfind("\n", 0, start) + 1)
    end = at = start
    while at < len(text):
        line_end = text.find("\n", at)
        line_end = len(text) if line_end < 0 else line_end
        line_start = text.rfind("\n", 0, at) + 1
        line = text[line_start:line_end].rstrip("\r")
        words = line.lstrip(" ")
        indent = len(line) - len(words)
        if words and not words.startswith("#"):
            if indent < column or (indent == column and not words.startswith("-")):
                break
            end = line_start + len(line)
        at = line_end + 1
    return end
