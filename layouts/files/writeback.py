"""Writing changes into a file of the user, keeping comments and everything else as they were.

What is written has been read again as YAML and, where the caller says how, as what the file is:
a scheme that the window would refuse is never written. A file that somebody else has changed
meanwhile is not overwritten. The last good text stays beside the file, as `.name.bak`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any

from layouts.errors import EvenfallError, InputError, Problem
from layouts.files.document import Path as Where
from layouts.files.edits import Append, CannotWrite, Edit, Put, Remove, edited
from layouts.files.write import (
    Changed,
    backup_of,
    create_atomically,
    digest,
    naming,
    write_atomically,
)

__all__ = [
    "Append", "CannotWrite", "Conflict", "Put", "Remove", "digest_of", "edited", "keep_both",
    "write_edits", "write_text", "write_values",
]  # fmt: skip

Value = float | str | bool
#: Says what is wrong with a whole text by raising EvenfallError; what it returns does not count.
Check = Callable[[str], Any]

_BOM = b"\xef\xbb\xbf"


class Conflict(EvenfallError):
    """The file has been changed by somebody else since it was read; nothing was written.

    `theirs` is what it holds now, None where it is gone or no text any more; `ours` the text that
    was to be written, None where the changes could not be made in theirs.
    """

    def __init__(self, path: Path, ours: str | None, theirs: bytes | None):
        what = "is gone" if theirs is None else "has been changed by somebody else"
        super().__init__(f"{path}: the file {what} since it was read; nothing was written")
        self.path, self.ours = path, ours
        try:
            self.theirs = None if theirs is None else theirs.decode("utf-8-sig")
        except UnicodeDecodeError:
            self.theirs = None


def digest_of(path: str | Path) -> str:
    """What tells one content of a file from another; "" where it cannot be read.

    Taken before the file is loaded, it lets no later change be missed.
    """
    try:
        return digest(Path(path).read_bytes())
    except (OSError, ValueError):
        return ""


def write_values(
    path: str | Path,
    changes: Mapping[Where, Value],
    *,
    expected: str | None = None,
    validate: Check | None = None,
    to: str | Path | None = None,
) -> str:
    """Put values into the YAML file at `path`, numbers to six digits. See `write_edits`."""
    puts = [Put(where, _rounded(value)) for where, value in changes.items()]
    return write_edits(path, puts, expected=expected, validate=validate, to=to)


def write_edits(
    path: str | Path,
    edits: Iterable[Edit],
    *,
    expected: str | None = None,
    validate: Check | None = None,
    to: str | Path | None = None,
) -> str:
    """Make `edits` in the YAML file at `path`, and return the digest of what is written.

    `expected` is the digest of the content that the edits are meant for; without it they go into
    the file as it is now. `validate` is given the whole new text before anything is replaced. `to`
    is another file that gets the new text instead.

    Raises InputError where the file cannot be read or `validate` refuses the result, CannotWrite
    where an edit would touch more than it names, Conflict where the file is no longer as it was,
    OSError where the disk refuses; the file is then as it was.
    """
    edits, target = list(edits), Path(path)
    try:
        raw = target.read_bytes()
    except FileNotFoundError:
        if expected is None:
            raise
        raise Conflict(target, None, None) from None
    if expected is not None and digest(raw) != expected:
        raise Conflict(target, _made(raw, edits, target, validate), raw)
    before = _text(target, raw)
    after = edited(before, edits, str(path))
    return _put(raw, before, after, target, path, validate, to)


def write_text(path: str | Path, text: str, *, expected: str, validate: Check | None = None) -> str:
    """Put the whole `text` into the file at `path`, and return the digest of what is written.

    `expected` is the digest of what the file must hold, "" where there must be none; a file that
    holds the text already is left alone. A byte order mark stays. Raises like `write_edits`.
    """
    target = Path(path)
    try:
        raw: bytes | None = target.read_bytes()
    except FileNotFoundError:
        raw = None
    if raw is not None and _text_or_none(raw) == text:
        return digest(raw)
    if (digest(raw) if raw is not None else "") != expected:
        if validate is not None:
            validate(text)
        raise Conflict(target, text, raw)
    if raw is not None:
        return _put(raw, _text(target, raw), text, target, path, validate, None)
    if validate is not None:
        validate(text)
    data = text.encode()
    try:
        create_atomically(target, data)  # nobody else made the file since the look
    except FileExistsError:
        raise Conflict(target, text, target.read_bytes()) from None
    return digest(data)


def _put(
    raw: bytes,
    before: str,
    after: str,
    target: Path,
    path: str | Path,
    validate: Check | None,
    to: str | Path | None,
) -> str:
    """`after` in the place of `before`, whose bytes are `raw`, checked and with a backup."""
    if validate is not None:
        validate(after)
    data = (_BOM if raw.startswith(_BOM) else b"") + after.encode()
    try:
        with naming(path if to is None else to):  # the backup too serves this file
            if to is not None:
                write_atomically(to, data)
            else:
                if data != raw and _good(before, validate):
                    _keep(raw, target)
                write_atomically(path, data, expected=digest(raw))
    except Changed as changed:
        raise Conflict(target, after, changed.found) from None
    return digest(data)


def _text_or_none(raw: bytes) -> str | None:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        return None


def keep_both(conflict: Conflict) -> Path:
    """Write our text of a conflict beside theirs, and say where.

    `a.scheme.yaml` keeps theirs, `a.yours.scheme.yaml` is ours; nothing is overwritten. Raises
    EvenfallError where there is no text of ours, OSError where the disk refuses.
    """
    path = conflict.path
    if conflict.ours is None:
        raise EvenfallError(f"{path}: your changes cannot be made in what the file holds now")
    stem, dot, endings = path.name.partition(".")
    for number in range(1, 1000):
        again = "" if number == 1 else f"-{number}"
        ours = path.with_name(f"{stem}.yours{again}{dot}{endings}")
        try:
            create_atomically(ours, conflict.ours.encode())
        except FileExistsError:
            continue
        return ours
    raise EvenfallError(f"{path}: a thousand of your texts lie beside it; clear some away")


def changed(text: str, file: str, where: Where, value: Value) -> str:
    """The text with one value put in; CannotWrite where that would change anything else."""
    return edited(text, [Put(where, _rounded(value))], file)


def _rounded(value: Value) -> Value:
    return float(f"{value:.6g}") if isinstance(value, float) else value


def _made(raw: bytes, edits: list[Edit], path: Path, validate: Check | None) -> str | None:
    """What the edits make of a newer text, None where they do not fit it."""
    try:
        text = edited(_text(path, raw), edits, str(path))
        if validate is not None:
            validate(text)
    except EvenfallError:
        return None
    return text


def _good(text: str, validate: Check | None) -> bool:
    try:
        if validate is not None:
            validate(text)
    except EvenfallError:
        return False
    return True


def _keep(raw: bytes, path: Path) -> None:
    """The backup of what is about to be replaced."""
    backup = backup_of(path)
    write_atomically(backup, raw)
    try:
        backup.chmod(path.stat().st_mode & 0o777)
    except OSError:
        return


def _text(path: Path, data: bytes) -> str:
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        what = "this is not a text file in UTF-8"
        raise InputError([Problem(str(path), 1, 1, what, "save it as UTF-8 text")]) from None
