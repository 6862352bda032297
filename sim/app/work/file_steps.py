"""Files that steps of the history have written, put back as they were.

A file gets its former text back only while it still holds what was written. What it gives up stays
beside it as `.name.bak`, as with every writing.
"""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from layouts import EvenfallError
from layouts.files.write import Changed, backup_of, digest, write_atomically
from layouts.files.writeback import Conflict
from sim.app.state.history_record import FileStep, ValueStep
from sim.app.state.history_text import backwards, text_step


def wrote(path: str, writes: Callable[[], str], values: tuple[ValueStep, ...] = ()) -> FileStep:
    """Write a file by calling `writes`, which returns its new digest and raises what it likes."""
    try:
        before = Path(path).read_bytes()
    except FileNotFoundError:
        before = b""  # `writes` says what that means
    written = writes()
    after = Path(path).read_bytes()  # another's by now, maybe: then no digest will ever fit it
    return FileStep(path, text_step(before, after), (digest(before), written), values)


def take_back(step: FileStep) -> None:
    """Give the file the text it had before the step.

    Raises Conflict where it does not hold what the step wrote, OSError where the disk refuses.
    """
    path = Path(step.file)
    try:
        held = path.read_bytes()
    except FileNotFoundError:
        raise Conflict(path, None, None) from None
    before = backwards(step.text, held) if digest(held) == step.digests[1] else None
    if before is None or digest(before) != step.digests[0]:
        raise Conflict(path, None, held)
    _replace(path, held, before)


def _replace(path: Path, held: bytes, data: bytes) -> None:
    if data == held:
        return
    backup = backup_of(path)
    write_atomically(backup, held)
    with suppress(OSError):
        backup.chmod(path.stat().st_mode & 0o777)
    try:
        write_atomically(path, data, expected=digest(held))
    except Changed as changed:
        raise Conflict(path, None, changed.found) from None
    except ValueError as error:
        raise EvenfallError(str(error)) from None
