"""Writing changed values into a scheme file, keeping comments and everything else as they were.

The text is changed only where a value stands, or by one new line where the key is missing. The
new text is read again before it replaces the file: every value must be as wanted and everything
else as it was, or the file is left alone.
"""

from __future__ import annotations

import copy
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from layouts.document import Document
from layouts.errors import EvenfallError
from layouts.nodes import tree
from layouts.write import write_atomically

Path_ = tuple[str | int, ...]
Value = float | str | bool


class CannotWrite(EvenfallError):
    """The file is written in a way that a value cannot be put into without risk."""


def write_values(path: str | Path, changes: Mapping[Path_, Value]) -> None:
    """Put the values into the YAML file at `path`.

    Raises InputError where the file cannot be read, CannotWrite where a change would touch more
    than the value, OSError where the disk refuses; the file is then as it was.
    """
    raw = Path(path).read_bytes()
    bom = b"\xef\xbb\xbf" if raw.startswith(b"\xef\xbb\xbf") else b""
    text = raw.decode("utf-8-sig")
    # Each change moves what stands after it, so places are looked up anew every time.
    for where, value in changes.items():
        text = changed(text, str(path), where, value)
    write_atomically(Path(path), bom + text.encode())


def changed(text: str, file: str, where: Path_, value: Value) -> str:
    """The text with one value put in; CannotWrite where that would change anything else."""
    if isinstance(value, float):
        value = float(f"{value:.6g}")
    before = _parsed(text, file)
    wanted = _with(before.data, where, value)
    after = _replaced(text, before, where, value) if before.has(where) else None
    if after is None:
        after = _inserted(text, before, where, value)
    try:
        held = _parsed(after, file).data
    except EvenfallError:
        held = None
    if held != wanted:
        name = ".".join(str(step) for step in where)
        raise CannotWrite(f"{file}: '{name}' cannot be changed without touching other lines; "
                          "change it in an editor")  # fmt: skip
    return after


def _parsed(text: str, file: str) -> Document:
    root = tree(text, file)
    return Document(file, root.value, root)


def _with(data: Any, where: Path_, value: Value) -> Any:
    """A copy of plain data with one value set, mappings made where they are missing."""
    made = copy.deepcopy(data)
    at = made
    for step in where[:-1]:
        if isinstance(at, dict) and at.get(str(step)) is None:
            at[str(step)] = {}
        at = at[step]
    at[where[-1]] = value
    return made


def scalar(value: Value) -> str:
    """A value as YAML writes it; text is quoted wherever it could be read as something else."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return f"{value:.6g}" if "e" not in f"{value:.6g}" else f"{value:.10f}".rstrip("0")
    plain = re.fullmatch(r"[A-Za-z][A-Za-z0-9_-]*( [A-Za-z0-9_-]+)*", value)
    if plain and value.lower() not in ("true", "false", "null", "yes", "no", "on", "off"):
        return value
    if value == "off":
        return value  # a word of the format; the reader takes only true and false as booleans
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _offset(text: str, line: int, column: int) -> int:
    """Where a place (line and column from 1) stands in the text."""
    lines = text.splitlines(keepends=True)
    return sum(len(one) for one in lines[: line - 1]) + column - 1


def _replaced(text: str, document: Document, where: Path_, value: Value) -> str:
    start = _offset(text, *document.at(where))
    end = _end_of_value(text, start)
    return text[:start] + scalar(value) + text[end:]


def _end_of_value(text: str, start: int) -> int:
    """One past the value that starts at `start`: quoted, in brackets, or plain to its end."""
    first = text[start : start + 1]
    if first in ("'", '"'):
        return _end_of_quoted(text, start)
    if first in ("[", "{"):
        return _end_of_brackets(text, start)
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


def _end_of_brackets(text: str, start: int) -> int:
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
            end = _end_of_brackets(text, at)
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


def _inserted(text: str, document: Document, where: Path_, value: Value) -> str:
    """The text with a key that it did not have, as the first of its mapping's lines to follow."""
    *parents, key = where
    if not document.has(parents):
        return _inserted(text, document, tuple(parents), _Raw(f"{{{key}: {scalar(value)}}}"))  # type: ignore[arg-type]
    line = f"{key}: {value if isinstance(value, _Raw) else scalar(value)}"
    start = _offset(text, *document.at(parents))
    if text[start] == "{":
        end = _end_of_brackets(text, start) - 1
        empty = not text[start + 1 : end].strip()
        return text[:end].rstrip() + ("" if empty else ", ") + line + text[end:]
    # A mapping in lines: the new one stands before its last key, so comments below stay there.
    keys = [document.at((*parents, name), key=True) for name in _keys(document, parents)]
    last = max(keys)
    at = _offset(text, last[0], last[1])
    newline = "\r\n" if "\r\n" in text else "\n"
    return text[:at] + line + newline + " " * (last[1] - 1) + text[at:]


class _Raw(str):
    """Text that is YAML already."""


def _keys(document: Document, where: list[Any]) -> list[str]:
    data = document.data
    for step in where:
        data = data[step]
    return list(data)
