"""Reading the files people write: YAML that remembers where everything stood.

Plain scalars follow the core schema of YAML 1.2: only `true` and `false` are booleans, so `on`,
`off`, `16:30` and `2026-12-24` stay the text they look like. What a hostile or broken file could
do is bounded here: its size, its depth, what its aliases expand to, its tags.
"""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from layouts.checking import check
from layouts.errors import InputError, Problem

__all__ = ["Document", "check", "read"]

MAX_DEPTH = 40
MAX_NODES = 1_000_000

_INT = re.compile(r"[-+]?[0-9]+")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_NOT_FINITE = re.compile(r"[-+]?\.inf|\.nan", re.IGNORECASE)
_NULLS = {"", "~", "null", "Null", "NULL"}
_BOOLS = {"true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False}
_STANDARD_TAG = "tag:yaml.org,2002:"

Place = tuple[int, int]
Step = str | int


@dataclass(slots=True)
class _Node:
    value: Any
    at: Place
    size: int = 1
    children: dict[Any, _Node] | list[_Node] | None = None
    key_at: dict[Any, Place] | None = None

    def child(self, step: Step) -> _Node | None:
        if isinstance(self.children, dict):
            return self.children.get(step)
        if isinstance(self.children, list) and isinstance(step, int):
            return self.children[step] if 0 <= step < len(self.children) else None
        return None


@dataclass(frozen=True)
class Document:
    """A file as plain Python (`data`), and where each of its parts stands."""

    file: str
    data: Any
    root: _Node

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

    def has(self, path: Sequence[Step]) -> bool:
        """Whether something stands at `path`."""
        node: _Node | None = self.root
        for step in path:
            node = node.child(step) if node is not None else None
        return node is not None

    def problem(
        self, path: Sequence[Step], what: str, do: str = "", *, key: bool = False
    ) -> Problem:
        """A problem with what stands at `path`."""
        return Problem(self.file, *self.at(path, key), what, do)


class _Broken(Exception):
    """Where and why a file cannot be read any further."""

    def __init__(self, at: Place, what: str, do: str = ""):
        self.at, self.what, self.do = at, what, do


def read(path: str | os.PathLike[str], *, max_bytes: int = 5_000_000) -> Document:
    """The YAML file at `path`.

    Raises InputError for a file that is missing, unreadable, larger than `max_bytes`, empty, not
    text, not YAML, with a key twice in one mapping, with numbers that are not finite, nested too
    deep or expanding too far.
    """
    file = os.fspath(path)
    return parse(_text(Path(path), file, max_bytes), file)


def parse(text: str, file: str) -> Document:
    """The YAML in `text`; `file` is the name that its problems carry. Raises like `read`."""
    try:
        root = _Builder(text, file).document()
    except _Broken as broken:
        raise InputError([Problem(file, *broken.at, broken.what, broken.do)]) from None
    return Document(file, root.value, root)


def _text(path: Path, file: str, max_bytes: int) -> str:
    def refuse(what: str, do: str) -> InputError:
        return InputError([Problem(file, 1, 1, what, do)])

    try:
        if path.is_dir():
            raise refuse("this is a folder, not a file", "name a file in it")
        size = path.stat().st_size
        if size > max_bytes:
            raise refuse(
                f"the file has {size / 1e6:.1f} MB, more than {max_bytes / 1e6:g} MB",
                "split it or leave out what is not needed",
            )
        raw = path.read_bytes()
    except FileNotFoundError:
        raise refuse("there is no such file", "check the path") from None
    except OSError as error:
        reason = error.strerror or str(error)
        raise refuse(f"cannot read the file: {reason}", "check the path") from None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise refuse("this is not a text file in UTF-8", "save it as UTF-8 text") from None
    if "\0" in text:
        raise refuse("this is a binary file, not text", "name a YAML file")
    if not text.strip():
        raise refuse("the file is empty", "start from 'evenfall new' or a demo file")
    return text


class _Builder:
    """Makes nodes from parser events, so that depth and aliases are bounded as they come."""

    def __init__(self, text: str, file: str):
        self._text, self._file = text, file
        self._anchors: dict[str, _Node | None] = {}
        self._problems: list[Problem] = []
        self._depth = 0

    def document(self) -> _Node:
        loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
        try:
            self._parser = loader(self._text)
            self._next()  # stream start
            if isinstance(self._next(), yaml.StreamEndEvent):
                raise _Broken((1, 1), "the file is empty", "start from 'evenfall new'")
            root = self._node(self._next())
            self._next()  # document end
            event = self._next()
            if not isinstance(event, yaml.StreamEndEvent):
                raise _Broken(_at(event), "a second document starts here", "keep one a file")
        except yaml.MarkedYAMLError as error:
            mark = error.problem_mark or error.context_mark
            at = (mark.line + 1, mark.column + 1) if mark else (1, 1)
            raise _Broken(at, f"this is not YAML: {error.problem}", "correct the line") from None
        except yaml.YAMLError as error:
            first = str(error).splitlines()[0]
            raise _Broken((1, 1), f"this is not YAML: {first}", "correct the file") from None
        if self._problems:
            raise InputError(self._problems)
        return root

    def _next(self) -> Any:
        return self._parser.get_event()

    def _node(self, event: Any) -> _Node:
        at = _at(event)
        if isinstance(event, yaml.AliasEvent):
            node = self._anchors.get(event.anchor, ...)
            if node is ...:
                raise _Broken(at, f"no anchor '&{event.anchor}' above", "write the value out")
            if node is None:
                raise _Broken(at, f"alias '*{event.anchor}' stands inside itself", "write it out")
            return node
        if event.anchor:
            self._anchors[event.anchor] = None
        if event.tag and not event.tag.startswith(_STANDARD_TAG) and event.tag != "!":
            raise _Broken(at, f"the tag '{event.tag}' is not allowed", "leave it out")
        if isinstance(event, yaml.ScalarEvent):
            node = _Node(self._scalar(event, at), at)
        else:
            self._depth += 1
            if self._depth > MAX_DEPTH:
                raise _Broken(at, f"nested more than {MAX_DEPTH} deep", "write it flatter")
            is_list = isinstance(event, yaml.SequenceStartEvent)
            node = self._list(at) if is_list else self._mapping(at)
            self._depth -= 1
        if node.size > MAX_NODES:
            raise _Broken(at, f"expands to more than {MAX_NODES:,} values", "use fewer aliases")
        if event.anchor:
            self._anchors[event.anchor] = node
        return node

    def _list(self, at: Place) -> _Node:
        children: list[_Node] = []
        size = 1
        while not isinstance(event := self._next(), yaml.SequenceEndEvent):
            children.append(self._node(event))
            size += children[-1].size
        return _Node([child.value for child in children], at, size, children)

    def _mapping(self, at: Place) -> _Node:
        children: dict[Any, _Node] = {}
        key_at: dict[Any, Place] = {}
        size = 1
        while not isinstance(event := self._next(), yaml.MappingEndEvent):
            place = _at(event)
            if not isinstance(event, yaml.ScalarEvent):
                raise _Broken(place, "a key must be a plain word", "write 'key: value'")
            key, node = event.value, self._node(self._next())
            size += node.size
            if key in children:
                first = key_at[key][0]
                what = f"the key '{key}' is here twice, first in line {first}"
                self._problems.append(Problem(self._file, *place, what, "remove one"))
                continue
            children[key], key_at[key] = node, place
        value = {key: child.value for key, child in children.items()}
        return _Node(value, at, size, children, key_at)

    def _scalar(self, event: Any, at: Place) -> Any:
        text: str = event.value
        if not event.implicit[0]:
            return text  # quoted, or tagged as text
        if text in _NULLS:
            return None
        if text in _BOOLS:
            return _BOOLS[text]
        if _INT.fullmatch(text) and len(text) <= 18:
            return int(text)
        finite = True
        if _FLOAT.fullmatch(text):
            number = float(text)
            finite = abs(number) != float("inf")
            if finite:
                return number
        if not finite or _NOT_FINITE.fullmatch(text):
            what = f"'{text}' is not a finite number"
            self._problems.append(Problem(self._file, *at, what, "write a number"))
            return 0.0
        return text


def _at(event: Any) -> Place:
    return event.start_mark.line + 1, event.start_mark.column + 1
