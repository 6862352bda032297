"""Edits of a file as text: what is not touched stays as it was, to the byte.

An edit names what changes in the data; this finds the least that has to change in the text, so
comments, order, quotes, spacing and line ends of everything else stay. The text is read again
after every edit, and nothing is trusted that does not come out as wanted.
"""

from __future__ import annotations

import difflib
import json
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from layouts.errors import EvenfallError, InputError
from layouts.files import splice
from layouts.files.document import Document, Path, parse
from layouts.files.emit import inline
from layouts.files.spans import NotThere


class CannotWrite(EvenfallError):
    """The file is written in a way that an edit cannot be made in without risk."""


@dataclass(frozen=True)
class Put:
    """The value at `path`, whether or not there was one; mappings above it are made.

    Of a list or mapping only what differs is changed, so what stays keeps its comments.
    """

    path: Path
    value: Any


@dataclass(frozen=True)
class Append:
    """One more entry at the end of the list at `path`, which is made where there is none."""

    path: Path
    value: Any


@dataclass(frozen=True)
class Remove:
    """Nothing at `path` any more: no key and value, no entry of a list."""

    path: Path


@dataclass(frozen=True)
class Reorder:
    """The entry of a list at `path` as its number `to`, written as it was with its own remark."""

    path: Path
    to: int


@dataclass(frozen=True)
class Rekey:
    """Another key for what stands at `path`, in its old place."""

    path: Path
    key: str


Edit = Put | Append | Remove | Reorder | Rekey


def edited(text: str, edits: Iterable[Edit], file: str = "the file") -> str:
    """The YAML `text` with the edits made, one after the other.

    Values are plain Python: mappings, lists, texts, numbers, true and false. `file` is the name
    that problems carry. Raises InputError where the text cannot be read and CannotWrite where an
    edit names what is not there, or would change more than it names.
    """
    document = sound(text, file)
    for edit in edits:
        try:
            if isinstance(edit, Put | Append):
                inline(edit.value)  # says what no file can hold
            wanted = applied(document.data, edit)
            text = _made(text, file, document, edit)
            document = sound(text, file)
        except (NotThere, LookupError, TypeError, ValueError, InputError) as error:
            raise _refused(file, edit, error) from None
        if not same(document.data, wanted):
            raise _refused(file, edit, None)
    return text


@lru_cache(maxsize=4)
def _read(text: str, file: str) -> Document:
    """The text as a document. What one edit ends with the next begins with: it is read once.

    Nothing here changes what is read: `applied` makes a copy.
    """
    return parse(text, file)


def sound(text: str, file: str) -> Document:
    """The text as a document; raises InputError with all that is wrong in it.

    It is kept for the next edit, so nobody may change its data.
    """
    document = _read(text, file)
    if document.problems:
        raise InputError(document.problems)
    return document


def applied(data: Any, edit: Edit) -> Any:
    """A copy of plain `data` with the edit made.

    Raises LookupError or TypeError where the path leads nowhere, ValueError for an empty path.
    """
    if not edit.path:
        raise ValueError("the whole of a file is not edited; write a new one")
    made = _copy(data)
    at = made
    *above, last = edit.path
    for step in above:
        if isinstance(edit, Put | Append) and isinstance(at, dict) and at.get(step) is None:
            at[step] = {}
        at = at[step]
    if isinstance(edit, Remove):
        del at[last]
    elif isinstance(edit, Reorder):
        at.insert(edit.to, at.pop(last))
    elif isinstance(edit, Rekey):
        renamed = {edit.key if key == last else key: value for key, value in at.items()}
        if last not in at or len(renamed) < len(at):
            raise LookupError(last)
        at.clear()
        at.update(renamed)
    elif isinstance(edit, Put):
        at[last] = _copy(edit.value)
    else:
        held = at.get(last) if isinstance(at, dict) else at[last]
        if held is not None and not isinstance(held, list):
            raise TypeError("not a list")
        at[last] = [*(held or []), _copy(edit.value)]
    return made


def same(one: Any, other: Any) -> bool:
    """Whether two pieces of plain data are equal: true is not 1, but 2.0 is 2."""
    return _key(one) == _key(other)


def _made(text: str, file: str, document: Document, edit: Edit) -> str:
    for number, (make, path, value) in enumerate(list(_steps(document, edit))):
        document = _read(text, file) if number else document
        text = make(text, document, path, value)
    return text


#: One of the functions of `splice`, where and with what.
Step = tuple[Callable[[str, Document, Path, Any], str], Path, Any]


def _steps(document: Document, edit: Edit) -> Iterator[Step]:
    """The edit as replacements, insertions and removals of single places."""
    if isinstance(edit, Remove):
        yield splice.removed, edit.path, None
        return
    if isinstance(edit, Reorder):
        yield splice.moved, edit.path, edit.to
        return
    if isinstance(edit, Rekey):
        yield splice.rekeyed, edit.path, edit.key
        return
    node = document.node(edit.path)
    if isinstance(edit, Append) and node is not None and isinstance(node.value, list):
        yield splice.inserted, (*edit.path, len(node.value)), edit.value
        return
    value = edit.value if isinstance(edit, Put) else [edit.value]
    depth = len(edit.path)
    while depth > 1 and _value(document, edit.path[: depth - 1]) is None:
        depth -= 1
        value = {edit.path[depth]: value}
    path = edit.path[:depth]
    if document.node(path) is None:
        yield splice.inserted, path, value
    else:
        yield from _differences(path, _value(document, path), _copy(value))


def _value(document: Document, path: Path) -> Any:
    node = document.node(path)
    return None if node is None else node.value


def _differences(path: Path, old: Any, new: Any) -> Iterator[Step]:
    """What to change, in an order in which every path still holds."""
    if same(old, new):
        return
    if isinstance(old, dict) and isinstance(new, dict) and old and new:
        for key in new:
            if key in old:
                yield from _differences((*path, key), old[key], new[key])
            else:
                yield splice.inserted, (*path, key), new[key]
        for key in old:
            if key not in new:
                yield splice.removed, (*path, key), None
    elif isinstance(old, list) and isinstance(new, list) and old and new:
        yield from _of_lists(path, old, new)
    else:
        yield splice.replaced, path, new


def _of_lists(path: Path, old: list[Any], new: list[Any]) -> Iterator[Step]:
    ours, theirs = [_key(each) for each in old], [_key(each) for each in new]
    matched = difflib.SequenceMatcher(None, ours, theirs, autojunk=False).get_opcodes()
    for _, first, last, begin, end in reversed(matched):  # from the end: indices above hold
        if ours[first:last] == theirs[begin:end]:
            continue
        if last - first == end - begin:
            for index in range(last - first):
                at = (*path, first + index)
                yield from _differences(at, old[first + index], new[begin + index])
            continue
        if end > begin:
            yield splice.inserted_all, (*path, last), new[begin:end]
        for index in reversed(range(first, last)):
            yield splice.removed, (*path, index), None


def _copy(value: Any) -> Any:
    """Plain data with nothing shared: what an alias stands for becomes a copy of its own."""
    if isinstance(value, Mapping):
        return {key: _copy(each) for key, each in value.items()}
    if isinstance(value, Sequence) and not isinstance(value, str):
        return [_copy(each) for each in value]
    return value


def _key(value: Any) -> str:
    def plain(each: Any) -> Any:
        if isinstance(each, Mapping):
            return {key: plain(deeper) for key, deeper in each.items()}
        if isinstance(each, Sequence) and not isinstance(each, str):
            return [plain(deeper) for deeper in each]
        if isinstance(each, bool) or each is None or isinstance(each, str):
            return each
        return int(each) if each == int(each) else float(each)

    return json.dumps(plain(value), sort_keys=True)


def _refused(file: str, edit: Edit, why: Exception | None) -> CannotWrite:
    name = ".".join(str(step) for step in edit.path)
    if isinstance(why, LookupError | TypeError):
        return CannotWrite(f"{file}: there is no '{name}' to change; look at the file again")
    if isinstance(why, ValueError):
        return CannotWrite(f"{file}: '{name}' cannot be written: {why}")
    what = "cannot be changed without touching other lines"
    return CannotWrite(f"{file}: '{name}' {what}; change it in an editor")
