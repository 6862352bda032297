"""Reading the files people write: YAML that remembers where everything stood.

`read` gives plain Python and the place of every part; `check` holds it against a model. Both raise
InputError with all that is wrong. The YAML library is imported only when a file is read.
"""

from __future__ import annotations

import os
import pathlib

from layouts.errors import InputError, Problem
from layouts.files.checking import check
from layouts.files.marked import Document, Path, Step

__all__ = ["Document", "Path", "Step", "check", "parse", "read"]


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

    root, problems = tree(text, file)
    return Document(file, root.value, root, problems, tuple(text.splitlines()))


def _text(path: pathlib.Path, name: str, max_bytes: int) -> str:
    def refuse(what: str, do: str) -> InputError:
        return InputError([Problem(name, 1, 1, what, do)])

    try:
        if path.is_dir():
            raise refuse("this is a folder, not a file", "name a file in it")
        with path.open("rb") as file:
            raw = file.read(max_bytes + 1)
    except FileNotFoundError:
        raise refuse("there is no such file", "check the path") from None
    except OSError as error:
        reason = error.strerror or str(error)
        raise refuse(f"cannot read the file: {reason}", "check the path") from None
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
