"""Plain Python as YAML text, in the manner of the files that people write.

In one line, `{from: box, to: left.start}`, or in lines, an entry each; text without quotes
wherever it is read back as the same text.
"""

from __future__ import annotations

import json
import math
import numbers
import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any

from layouts.files.nodes import character, meant, unfit_in

#: No line made here is longer where it can be broken [characters].
WIDTH = 100

_PLAIN = re.compile(r"(?:\w|-(?=\w))(?:[\w.@/+%°²³()-]|(?<=\w):(?=\w)| (?=[\w.@/+%°²³()-]))*")
#: Words that YAML 1.1 takes for true or false, and other programs still do.
_TAKEN = frozenset({"y", "n", "yes", "no", "on"})
#: What YAML does not allow as it is, takes for the end of a line, or nobody can tell from a space.
_ESCAPED = re.compile("[\x7f-\xa0\u2007\u202f\u2028\u2029\ufeff\ufffe\uffff\ud800-\udfff]")


def inline(value: Any) -> str:
    """`value` in one line. Raises ValueError for what a file cannot hold."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{key_text(k)}: {inline(v)}" for k, v in value.items()) + "}"
    if isinstance(value, str):
        return text(value)
    if isinstance(value, Sequence):
        return "[" + ", ".join(map(inline, value)) + "]"
    if value is None:
        return "null"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, numbers.Integral):
        return str(int(value))
    if isinstance(value, numbers.Real):
        return _number(float(value))
    raise ValueError(f"a {type(value).__name__} cannot stand in a file")


def _number(value: float) -> str:
    if not math.isfinite(value):
        raise ValueError(f"{value} cannot stand in a file")
    if value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    written = repr(value)
    if "e-" in written and abs(value) > 1e-12:
        return format(Decimal(written), "f")
    return written


def text(value: str) -> str:
    """Text as YAML writes it, in quotes wherever it could be read as something else."""
    if unfit := unfit_in(value):
        raise ValueError(f"the character {character(unfit[0])} cannot stand in a file")
    if _PLAIN.fullmatch(value) and value.lower() not in _TAKEN and meant(value) == value:
        return value
    quoted = json.dumps(value, ensure_ascii=False)
    return _ESCAPED.sub(lambda found: f"\\u{ord(found[0]):04x}", quoted)


def key_text(key: Any) -> str:
    """A key; what looks like a number is text there anyway."""
    if not isinstance(key, str):
        raise ValueError(f"the key {key!r} is not text")
    return key if re.fullmatch(r"\w[\w.-]*", key) else text(key)


def block(value: Any, indent: int, step: int) -> list[str] | None:
    """The lines of `value` below its key, None where it belongs in the key's own line.

    `indent` is the column of the key, `step` how far the dashes of a list stand to its right.
    """
    if isinstance(value, Mapping) and value:
        if not any(_deep(each) for each in value.values()) and fits(value, indent + 20):
            return None
        return mapping(value, indent + 2, step)
    if isinstance(value, str) or not isinstance(value, Sequence) or not value:
        return None
    if not any(isinstance(each, Mapping) for each in value) and fits(value, indent + 20):
        return None
    return [line for each in value for line in item(each, indent + step, step)]


def mapping(value: Mapping[str, Any], indent: int, step: int) -> list[str]:
    """The lines of a mapping whose keys stand at `indent`."""
    return [line for key, each in value.items() for line in pair(key, each, indent, step)]


def pair(key: str, value: Any, indent: int, step: int) -> list[str]:
    """The lines of one key and its value."""
    lines, name = block(value, indent, step), " " * indent + key_text(key)
    return [f"{name}: {inline(value)}"] if lines is None else [f"{name}:", *lines]


def item(value: Any, indent: int, step: int, *, in_lines: bool | None = None) -> list[str]:
    """The lines of one entry of a list whose dashes stand at `indent`.

    A mapping is written in one line, or key by key where it is asked for or would be too long.
    """
    if isinstance(value, Mapping) and value:
        in_lines = not fits(value, indent + 2) if in_lines is None else in_lines
        if in_lines:
            first, *more = mapping(value, indent + 2, step)
            return [f"{' ' * indent}- {first.lstrip()}", *more]
    return [f"{' ' * indent}- {inline(value)}"]


def fits(value: Any, column: int) -> bool:
    """Whether `value` fits into one line from `column` on."""
    return column + len(inline(value)) <= WIDTH


def _deep(value: Any) -> bool:
    """Whether `value` holds mappings."""
    if isinstance(value, Mapping):
        return True
    is_list = isinstance(value, Sequence) and not isinstance(value, str)
    return is_list and any(isinstance(each, Mapping) for each in value)
