"""YAML as a tree of nodes that remember where they stood.

Plain scalars follow the core schema of YAML 1.2: only `true` and `false` are booleans, so `on`,
`off`, `16:30` and `2026-12-24` stay the text they look like. What a hostile or broken file could
do is bounded here: its depth, what its aliases expand to, its tags.
"""

from __future__ import annotations

import math
import re
import unicodedata
from dataclasses import dataclass, replace
from typing import Any

import yaml

from layouts.errors import InputError, Problem
from layouts.files.typos import curly_quoted, cut_by_comma, not_yaml

MAX_DEPTH = 40
MAX_NODES = 1_000_000
#: Keys of one mapping: no file has so many, and each wrong one is a problem with words of its own.
MAX_KEYS = 20_000

_INT = re.compile(r"[-+]?[0-9]+")
_FLOAT = re.compile(r"[-+]?(\.[0-9]+|[0-9]+(\.[0-9]*)?)([eE][-+]?[0-9]+)?")
_NOT_FINITE = re.compile(r"[-+]?\.inf|\.nan", re.IGNORECASE)
_NULLS = {"", "~", "null", "Null", "NULL"}
_BOOLS = {"true": True, "True": True, "TRUE": True, "false": False, "False": False, "FALSE": False}

#: Format characters that join letters or mark where a word may part; the others turn writing.
_JOINING = "\u00ad\u200b\u200c\u200d\u2060"
_NAMED = {"\0": "NUL", "\x1b": "ESC", "\r": "carriage return"}

Place = tuple[int, int]
#: Where something begins and one past its end, counted in characters of the text.
Span = tuple[int, int]


@dataclass(slots=True)
class Node:
    """A value, where it stood, and how many values it holds with all that is below it.

    The span of a list or mapping in lines ends with its last entry, not with what follows; that
    of an alias is the alias, while `at` is the place of what it stands for.
    """

    value: Any
    at: Place
    size: int = 1
    children: dict[Any, Node] | list[Node] | None = None
    key_at: dict[Any, Place] | None = None
    span: Span = (0, 0)
    key_span: dict[Any, Span] | None = None
    flow: bool = False  # written in brackets or braces
    alias: bool = False

    def child(self, step: str | int) -> Node | None:
        if isinstance(self.children, dict):
            return self.children.get(step)
        if isinstance(self.children, list) and isinstance(step, int):
            return self.children[step] if 0 <= step < len(self.children) else None
        return None


class _Broken(Exception):
    """Where and why a file cannot be read any further."""

    def __init__(self, at: Place, what: str, do: str = ""):
        self.at, self.what, self.do = at, what, do


def tree(text: str, file: str) -> tuple[Node, tuple[Problem, ...]]:
    """The root node of the one YAML document in `text`, and what is wrong without hiding the rest.

    Raises InputError, in the name of `file`, for what is not YAML or goes beyond the bounds.
    """
    try:
        builder = _Builder(text, file)
        return builder.document(), tuple(builder.problems)
    except _Broken as broken:
        raise InputError([Problem(file, *broken.at, broken.what, broken.do)]) from None


class _Builder:
    """Makes nodes from parser events, so that depth and aliases are bounded as they come."""

    def __init__(self, text: str, file: str):
        self._text, self._file = text, file
        self._lines = text.splitlines()
        self._anchors: dict[str | None, Node | None] = {}
        self.problems: list[Problem] = []
        self._depth = 0
        self._open: list[Place] = []  # the brackets and braces not closed yet

    def document(self) -> Node:
        loader = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
        try:
            self._parser = loader(self._text)
            self._next()  # stream start
            if isinstance(self._next(), yaml.StreamEndEvent):
                do = "start from 'evenfall new' or a demo file"
                raise _Broken((1, 1), "the file is empty", do)
            root = self._node(self._next())
            self._next()  # document end
            event = self._next()
            if not isinstance(event, yaml.StreamEndEvent):
                raise _Broken(_at(event), "a second document starts here", "keep one a file")
        except yaml.MarkedYAMLError as error:
            raise self._not_yaml(error) from None
        except yaml.YAMLError as error:
            first = str(error).splitlines()[0]
            raise _Broken((1, 1), f"this is not YAML: {first}", "correct the file") from None
        return root

    def _not_yaml(self, error: yaml.MarkedYAMLError) -> _Broken:
        """What to tell of an error: its cause where the lines show it, else what the parser says.

        The parser finds out where it cannot go on, often a line or more below the cause.
        """
        mark = error.problem_mark or error.context_mark
        at = (mark.line + 1, mark.column + 1) if mark else (1, 1)
        opened = list(self._open)
        if error.context_mark and "quoted" in str(error.context):
            opened.append((error.context_mark.line + 1, error.context_mark.column + 1))
        typo = not_yaml(self._lines, opened[0][0] if opened else at[0], at[0])
        if typo is not None:
            return _Broken((typo.line, typo.column), typo.what, typo.do)
        do = "correct the line"
        if "cannot start" in str(error.problem):
            do = "put the text in quotes"
        elif error.context_mark and "expected ':'" in str(error.problem):
            at = (error.context_mark.line + 1, error.context_mark.column + 1)
            do = "write 'key: value'"
        elif opened:
            line, column = opened[-1]
            do += f", or close the {self._lines[line - 1][column - 1]} of line {line}"
            do += f", column {column}"
        elif "block" in str(error.context):
            do = "check the line and its indentation"
        return _Broken(at, f"this is not YAML: {error.problem}", do)

    def _next(self) -> Any:
        return self._parser.get_event()

    def _node(self, event: Any) -> Node:
        at = _at(event)
        if isinstance(event, yaml.AliasEvent):
            if event.anchor not in self._anchors:
                raise _Broken(at, f"no anchor '&{event.anchor}' above", "write the value out")
            node = self._anchors[event.anchor]
            if node is None:
                raise _Broken(at, f"alias '*{event.anchor}' stands inside itself", "write it out")
            return replace(node, span=_span(event), alias=True)
        if event.anchor:
            self._anchors[event.anchor] = None
        if event.tag:
            raise _Broken(at, f"the tag '{event.tag}' is not allowed", "leave it out")
        if isinstance(event, yaml.ScalarEvent):
            node = Node(self._scalar(event, at), at, span=self._written(event))
        else:
            self._depth += 1
            if self._depth > MAX_DEPTH:
                raise _Broken(at, f"nested more than {MAX_DEPTH} deep", "write it flatter")
            if event.flow_style:
                self._open.append(at)
            is_list = isinstance(event, yaml.SequenceStartEvent)
            node = self._list(event) if is_list else self._mapping(event)
            if event.flow_style:
                self._open.pop()
            self._depth -= 1
        if node.size > MAX_NODES:
            raise _Broken(at, f"expands to more than {MAX_NODES:,} values", "use fewer aliases")
        if event.anchor:
            self._anchors[event.anchor] = node
        return node

    def _written(self, event: Any) -> Span:
        """The span of a scalar, without the empty lines that follow a text in lines."""
        start, end = _span(event)
        if event.style in ("|", ">"):
            end = start + len(self._text[start:end].rstrip())
        return start, end

    def _list(self, begin: Any) -> Node:
        children: list[Node] = []
        size = 1
        while not isinstance(event := self._next(), yaml.SequenceEndEvent):
            children.append(self._node(event))
            size += children[-1].size
        flow = bool(begin.flow_style)
        end = _span(event)[1] if flow else children[-1].span[1]
        value = [child.value for child in children]
        span = (_span(begin)[0], end)
        return Node(value, _at(begin), size, children, span=span, flow=flow)

    def _mapping(self, begin: Any) -> Node:
        children: dict[Any, Node] = {}
        key_at: dict[Any, Place] = {}
        key_span: dict[Any, Span] = {}
        size = 1
        end = _span(begin)[1]
        entries = 0
        while not isinstance(event := self._next(), yaml.MappingEndEvent):
            place = _at(event)
            entries += 1
            if entries > MAX_KEYS:
                what = f"a mapping of more than {MAX_KEYS:,} keys"
                raise _Broken(place, what, "leave out what is not needed")
            if not isinstance(event, yaml.ScalarEvent):
                raise _Broken(place, "a key must be a plain word", "write 'key: value'")
            key, node = self._whole(event, place), self._node(self._next())
            size += node.size
            end = node.span[1]
            if key in children:
                what, do = f"the key '{key}' is here twice", "remove one"
                if comma := cut_by_comma(self._lines[place[0] - 1], place[1], key):
                    do = comma
                else:
                    what += f", first in line {key_at[key][0]}"
                self.problems.append(Problem(self._file, *place, what, do))
                continue
            children[key], key_at[key], key_span[key] = node, place, _span(event)
        value = {key: child.value for key, child in children.items()}
        flow = bool(begin.flow_style)
        span = (_span(begin)[0], _span(event)[1] if flow else end)
        return Node(value, _at(begin), size, children, key_at, span, key_span, flow)

    def _whole(self, event: Any, at: Place) -> str:
        """The text of a scalar, without what would command a terminal or hide writing."""
        text: str = event.value
        unfit = unfit_in(text)
        if unfit:
            what = f"a text with the character {character(unfit[0])}"
            self.problems.append(Problem(self._file, *at, what, "leave it out"))
            text = "".join(one for one in text if one not in unfit)
        return text

    def _scalar(self, event: Any, at: Place) -> Any:
        text = self._whole(event, at)
        if not event.implicit[0]:
            return text  # quoted, or tagged as text
        value = meant(text)
        if isinstance(value, float) and not math.isfinite(value):
            what = f"'{text}' is not a finite number"
            self.problems.append(Problem(self._file, *at, what, "write a number"))
            return None
        inner = curly_quoted(text)
        if inner is not None:
            do = f'write straight quotes: "{inner}"'
            self.problems.append(Problem(self._file, *at, "typographic quotes", do))
            return inner
        return value


def unfit_in(text: str) -> str:
    """The characters of a text that no file may hold: controls, half pairs, what turns writing.

    Tabs and line ends may stand in a text; what is a name takes no line ends (`names.in_one_line`).
    """
    if text.isprintable():
        return ""
    return "".join(one for one in text if _commands(one) and one not in "\t\n")


def character(one: str) -> str:
    """A character that nobody can see, by its name or number."""
    return _NAMED.get(one) or f"U+{ord(one):04X}"


def _commands(one: str) -> bool:
    """Whether a character is a control, a line end, half a pair or one that turns writing."""
    return unicodedata.category(one) in ("Cc", "Cf", "Cs", "Zl", "Zp") and one not in _JOINING


def meant(text: str) -> Any:
    """What an unquoted `text` stands for: nothing, true or false, a number (finite or not), text.

    Digits beyond what a whole number of 18 holds, and words that only look like one, stay text.
    """
    if text in _NULLS:
        return None
    if text in _BOOLS:
        return _BOOLS[text]
    if _INT.fullmatch(text) and len(text) <= 18:
        return int(text)
    if _FLOAT.fullmatch(text) or _NOT_FINITE.fullmatch(text):
        return float(text.lower().replace(".inf", "inf").replace(".nan", "nan"))
    return text


def _span(event: Any) -> Span:
    return event.start_mark.index, event.end_mark.index


def _at(event: Any) -> Place:
    return event.start_mark.line + 1, event.start_mark.column + 1
