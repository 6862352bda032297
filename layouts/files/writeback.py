"""Writing changes into a file of the user, keeping comments and everything else as they were.

What is written has been read again as YAML and, where the caller says how, as what the file is:
a scheme that the window would refuse is never written. A file that somebody else has changed
meanwhile is not overwritten. The last good text stays beside the file, as `.name.bak`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from layouts.errors import EvenfallError, InputError, Problem
from layouts.files.edits import Append, CannotWrite, Edit, Put, Remove, edited
from layouts.files.marked import Path as Where
from layouts.files.write import Changed, backup_of, write_atomically

__all__ = [
    "Append", "CannotWrite", "Conflict", "Put", "Remove", "Seen", "edited", "keep_both", "look",
    "write_edits", "write_values",
]  # fmt: skip

Value = float | str | bool
#: Says what is wrong with a whole text by raising EvenfallError; what it returns does not count.
Check = Callable[[str], Any]

_BOM = b"\xef\xbb\xbf"


@dataclass(frozen=True)
class Seen:
    """A file as it was when somebody looked: what their changes start from."""

    path: Path
    data: bytes

    @property
    def text(self) -> str:
        """Raises InputError for what is not text."""
        return _text(self.path, self.data)


class Conflict(EvenfallError):
    """The file has been changed by somebody else; both texts are here, nothing was written.

    `ours` is the text as it would have been written, `theirs` what the file holds now; None where
    it is gone, or no text any more.
    """

    def __init__(self, path: Path, ours: bytes, theirs: bytes | None):
        what = "is gone" if theirs is None else "has been changed by somebody else meanwhile"
        super().__init__(f"{path}: the file {what}; nothing was written")
        self.path = path
        self.ours_bytes = ours
        self.ours = ours.decode("utf-8-sig")
        try:
            self.theirs = None if theirs is None else theirs.decode("utf-8-sig")
        except UnicodeDecodeError:
            self.theirs = None


def look(path: str | Path) -> Seen:
    """The file at `path` as it is now; taken before it is loaded, so that no change is missed.

    Raises OSError where it cannot be read.
    """
    return Seen(Path(path), Path(path).read_bytes())


def write_values(
    path: str | Path,
    changes: Mapping[Where, Value],
    *,
    check: Check | None = None,
    seen: Seen | None = None,
) -> Seen:
    """Put values into the YAML file at `path`, numbers to six digits. See `write_edits`."""
    puts = [Put(where, _rounded(value)) for where, value in changes.items()]
    return write_edits(path, puts, check=check, seen=seen)


def write_edits(
    path: str | Path,
    edits: Iterable[Edit],
    *,
    check: Check | None = None,
    seen: Seen | None = None,
) -> Seen:
    """Make `edits` in the YAML file at `path`, and return the file as it is then.

    `check` is given the whole new text before anything is replaced. `seen` is the file that the
    edits were made for; without it they go into the file as it is now.

    Raises InputError where the file cannot be read or `check` refuses the result, CannotWrite
    where an edit would touch more than it names, Conflict where the file is no longer as it was,
    OSError where the disk refuses; the file is then as it was.
    """
    seen = look(path) if seen is None else seen
    after = edited(seen.text, edits, str(path))
    if check is not None:
        check(after)
    data = (_BOM if seen.data.startswith(_BOM) else b"") + after.encode()
    if data == seen.data and look(path).data == data:
        return seen
    try:
        if _good(seen.text, check):
            _keep(seen, Path(path))
        write_atomically(path, data, expected=seen.data)
    except Changed as changed:
        raise Conflict(Path(path), data, changed.found) from None
    return Seen(Path(path), data)


def keep_both(conflict: Conflict) -> Path:
    """Write our text of a conflict beside theirs, and say where: `a.scheme.yaml` keeps theirs,
    `a.yours.scheme.yaml` is ours. Nothing is overwritten. Raises OSError where the disk refuses."""
    path = conflict.path
    stem, dot, endings = path.name.partition(".")
    for number in range(1, 1000):
        again = "" if number == 1 else f"-{number}"
        ours = path.with_name(f"{stem}.yours{again}{dot}{endings}")
        try:
            with open(ours, "xb"):
                pass
        except FileExistsError:
            continue
        write_atomically(ours, conflict.ours_bytes)
        return ours
    raise EvenfallError(f"{path}: a thousand of your texts lie beside it; clear some away")


def changed(text: str, file: str, where: Where, value: Value) -> str:
    """The text with one value put in; CannotWrite where that would change anything else."""
    return edited(text, [Put(where, _rounded(value))], file)


def _rounded(value: Value) -> Value:
    return float(f"{value:.6g}") if isinstance(value, float) else value


def _good(text: str, check: Check | None) -> bool:
    if check is None:
        return True
    try:
        check(text)
    except EvenfallError:
        return False
    return True


def _keep(seen: Seen, path: Path) -> None:
    """The backup of what is about to be replaced, where the folder takes one."""
    backup = backup_of(path)
    write_atomically(backup, seen.data)
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
