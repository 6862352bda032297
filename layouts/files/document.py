"""Reading the files people write: YAML that remembers where everything stood.

`read` gives plain Python and the place of every part; `check` holds it against a model. Both raise
InputError with all that is wrong. The YAML library is imported only when a file is read.
"""

from __future__ import annotations

import os
import pathlib
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from layouts.errors import InputError, Problem
from layouts.files.checking import check
from layouts.files.pipes import read_bytes
from layouts.files.written import Path, Step

if TYPE_CHECKING:
    from layouts.files.nodes import Node, Place

__all__ = ["Document", "Path", "Step", "check", "parse", "read"]


#: Spaces that do not break, as word processors and web pages set them, mean spaces here; one takes
#: the place of one, so that columns stay.
_SPACES = dict.fromkeys(map(ord, "\u00a0\u2007\u202f"), " ")


@dataclass(frozen=True)
class Document:
    """A file as plain Python (`data`), and where each of its parts stands.

    A key written twice keeps its first value, a number that is not finite becomes None; both are
    `problems`.
    """

    file: str
    data: Any
    root: Node
    problems: tuple[Problem, ...] = ()  # found while reading; `check` tells them with its own
    lines: tuple[str, ...] = ()  # as written

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

    def node(self, path: Sequence[Step]) -> Node | None:
        """What stands at `path`, None where nothing does."""
        node: Node | None = self.root
        for step in path:
            node = node.child(step) if node is not None else None
        return node

    def line_at(self, path: Sequence[Step], key: bool = False) -> tuple[str, int]:
        """The line on which what stands at `path` begins, and the column where."""
        line, column = self.at(path, key)
        return self.lines[line - 1] if line <= len(self.lines) else "", column

    def problem(
        self, path: Sequence[Step], what: str, do: str = "", *, key: bool = False, offset: int = 0
    ) -> Problem:
        """A problem with what stands at `path`, from the character `offset` of a text on."""
        line, column = self.at(path, key)
        return Problem(self.file, line, column + self._inside(path, offset), what, do)

    def _inside(self, path: Sequence[Step], offset: int) -> int:
        """How far behind its beginning the character `offset` of a text stands in its line.

        None further where the text is not in the file as it is read: folded, or with escapes.
        """
        node = self.node(path) if offset else None
        if node is None or not isinstance(node.value, str):
            return 0
        rest = self.lines[node.at[0] - 1][node.at[1] - 1 :]
        quote = len(rest[:1]) if rest[:1] in ("'", '"') else 0
        return quote + offset if rest[quote:].startswith(node.value) else 0


def read(path: str | os.PathLike[str], *, max_bytes: int = 5_000_000) -> Document:
    """The YAML file at `path`.

    Raises InputError for a file that is missing, unreadable, larger than `max_bytes`, empty, not
    text, not YAML, nested too deep or expanding too far.
    """
    file = os.fspath(path)
    return parse(_text(pathlib.Path(path), file, max_bytes), file)


def parse(text: str, file: str) -> Document:
    """The YAML in `text`; `file` is the name that its problems carry. Raises like `read`."""
    from layouts.files.nodes import tree

    text = text.translate(_SPACES)
    root, problems = tree(text, file)
    return Document(file, root.value, root, problems, tuple(text.splitlines()))


def _text(path: pathlib.Path, name: str, max_bytes: int) -> str:
    def refuse(what: str, do: str) -> InputError:
        return InputError([Problem(name, 1, 1, what, do)])

    try:
        if path.is_dir():
            raise refuse("this is a folder, not a file", "name a file in it")
        raw = read_bytes(path, max_bytes + 1)
    except FileNotFoundError:
        raise refuse("there is no such file", "check the path") from None
    except OSError as error:
        reason = error.strerror or str(error)
        raise refuse(f"cannot read the file: {reason}", "check the path") from None
    except ValueError:  # a NUL in it
        raise refuse("this cannot be the name of a file", "check the path") from None
    if len(raw) > max_bytes:
        what = f"the file has more than {max_bytes / 1e6:g} MB"
        raise refuse(what, "split it or leave out what is not needed")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise refuse("this is not a text file in UTF-8", "save it as UTF-8 text") from None
    if "\0" in text:
        raise refuse("this is a binary file, not text", "name a YAML file")
    return text
