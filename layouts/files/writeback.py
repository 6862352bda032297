"""Writing changed values into a scheme file, keeping comments and everything else as they were.

The text is changed only where a value stands, or by one new line where the key is missing. The
new text is read again before it replaces the file: every value must be as wanted and everything
else as it was, or the file is left alone.
"""

from __future__ import annotations

import copy
import hashlib
import re
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

from layouts.errors import EvenfallError, InputError, Problem
from layouts.files.document import Document, parse
from layouts.files.document import Path as Where
from layouts.files.spans import block_list, end_of_brackets, end_of_value, offset_of
from layouts.files.write import write_atomically

Value = float | str | bool


class CannotWrite(EvenfallError):
    """The file is written in a way that a value cannot be put into without risk."""


class Conflict(EvenfallError):
    """The file has been changed by somebody else since it was read."""


def digest_of(path: str | Path) -> str:
    """What tells one content of a file from another; "" where it cannot be read."""
    try:
        return _digest(Path(path).read_bytes())
    except (OSError, ValueError):
        return ""


def _digest(raw: bytes) -> str:
    return hashlib.sha256(raw).hexdigest()


def write_values(
    path: str | Path,
    changes: Mapping[Where, Value],
    *,
    expected: str | None = None,
    validate: Callable[[str], object] | None = None,
    to: str | Path | None = None,
) -> str:
    """Put the values into the YAML file at `path`; returns the digest of what is written.

    `expected` is the digest of the content that the values are meant for, `validate` is given the
    new text and raises what is wrong with it, `to` is another file that gets the new text instead.
    Raises Conflict where the file holds something else by now, InputError where it cannot be read
    or the new text is refused, CannotWrite where a change would touch more than the value, OSError
    where the disk refuses; the file is then as it was.
    """
    raw = Path(path).read_bytes()
    if expected is not None and _digest(raw) != expected:
        raise Conflict(f"{path}: the file has been changed since it was read")
    bom = b"\xef\xbb\xbf" if raw.startswith(b"\xef\xbb\xbf") else b""
    text = _decoded(raw, str(path))
    # Each change moves what stands after it, so places are looked up anew every time.
    for where, value in changes.items():
        text = changed(text, str(path), where, value)
    if validate is not None:
        validate(text)
    if to is None and expected is not None and digest_of(path) != expected:
        raise Conflict(f"{path}: the file has been changed while it was written")
    made = bom + text.encode()
    write_atomically(Path(to or path), made)
    return _digest(made)


def _decoded(raw: bytes, file: str) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        do = "save it as UTF-8 text"
        raise InputError([Problem(file, 1, 1, "this is not a text file in UTF-8", do)]) from None


def changed(text: str, file: str, where: Where, value: Value) -> str:
    """The text with one value put in; CannotWrite where that would change anything else."""
    if isinstance(value, float):
        value = float(f"{value:.6g}")
    before = _parsed(text, file)
    wanted = _with(before.data, where, value)
    after = _replaced(text, before, where, value) if _has(before, where) else None
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
    document = parse(text, file)
    if document.problems:
        raise InputError(document.problems)
    return document


def _has(document: Document, where: Sequence[str | int]) -> bool:
    """Whether something stands at `where`."""
    at = document.data
    for step in where:
        try:
            at = at[step]
        except (KeyError, IndexError, TypeError):
            return False
    return True


def _with(data: Any, where: Where, value: Value) -> Any:
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
    if plain and value.lower() not in ("true", "false", "null", "yes", "no", "on"):
        return value
    return '"' + value.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _replaced(text: str, document: Document, where: Where, value: Value) -> str:
    start = offset_of(text, *document.at(where))
    end = block_list(text, start)
    if end is None:
        return text[:start] + scalar(value) + text[end_of_value(text, start) :]
    key = offset_of(text, *document.at(where, key=True))
    colon = text.index(":", key + len(str(where[-1])))
    return text[: colon + 1] + " " + scalar(value) + text[end:]


def _inserted(text: str, document: Document, where: Where, value: Value) -> str:
    """The text with a key that it did not have, as the first of its mapping's lines to follow."""
    *parents, key = where
    if not _has(document, parents):
        return _inserted(text, document, tuple(parents), _Raw(f"{{{key}: {scalar(value)}}}"))  # type: ignore[arg-type]
    line = f"{key}: {value if isinstance(value, _Raw) else scalar(value)}"
    start = offset_of(text, *document.at(parents))
    if text[start] == "{":
        end = end_of_brackets(text, start) - 1
        empty = not text[start + 1 : end].strip()
        return text[:end].rstrip() + ("" if empty else ", ") + line + text[end:]
    # A mapping in lines: the new one stands before its last key, so comments below stay there.
    keys = [document.at((*parents, name), key=True) for name in _keys(document, parents)]
    last = max(keys)
    at = offset_of(text, last[0], last[1])
    newline = "\r\n" if "\r\n" in text else "\n"
    return text[:at] + line + newline + " " * (last[1] - 1) + text[at:]


class _Raw(str):
    """Text that is YAML already."""


def _keys(document: Document, where: list[Any]) -> list[str]:
    data = document.data
    for step in where:
        data = data[step]
    return list(data)
