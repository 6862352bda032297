"""Standard output as it is: full, narrow, or without letters beyond ASCII."""

from __future__ import annotations

import codecs
import errno
import io
import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from typing import IO

from sim.cli.common import WRONG, say

#: A terminal that says it is narrower [cells] is taken for that wide.
LEAST_COLUMNS = 20
#: Help is set in no fewer cells: below, names of options are cut.
LEAST_HELP = 60
#: What stands for closed streams, open for as long as the process is there.
_HELD: list[IO[str]] = []
#: How a write fails that names no file: a disk that is full, a stream that is closed.
NOT_TAKEN = tuple(
    getattr(errno, name)  # not every system knows of quotas
    for name in ("ENOSPC", "EFBIG", "EDQUOT", "EIO", "EBADF")
    if hasattr(errno, name)
)


class _Closed(io.TextIOBase):
    """Standard output that whoever called has closed: nothing can be written to it."""

    encoding = "utf-8"

    def write(self, text: str) -> int:
        raise OSError(errno.EBADF, "it is closed")


def reopen() -> None:
    """Have streams where a caller has closed them, as `evenfall list wires >&-` does.

    Results for standard output then fail, and errors for stderr go nowhere: Python would let the
    first vanish and write the others among the results. The numbers 0, 1 and 2 are taken, so that
    no file of ours gets one of them.
    """
    for number, name in enumerate(("stdin", "stdout", "stderr")):
        if getattr(sys, name) is None:
            null = os.open(os.devnull, os.O_RDWR)  # takes the lowest number that is free
            nowhere = open(null, "w" if number else "r", encoding="utf-8")  # noqa: SIM115
            setattr(sys, name, _Closed() if name == "stdout" else nowhere)
            _HELD.append(nowhere)


def widen() -> None:
    """Have no report set in fewer columns than words need, whatever the environment says."""
    columns = os.environ.get("COLUMNS", "")
    if columns.isdecimal() and int(columns[:9]) < LEAST_COLUMNS:
        os.environ["COLUMNS"] = str(LEAST_COLUMNS)


def widen_help(arguments: Sequence[str]) -> None:
    """Have help set in as many cells as its words need; the terminal breaks lines that are longer.

    What sets it looks for its width where it is loaded, which is not before there is help to give.
    """
    if arguments and not {"-h", "--help"} & set(arguments):
        return
    if _columns() < LEAST_HELP:
        os.environ.setdefault("TERMINAL_WIDTH", str(LEAST_HELP))


def _columns() -> int:
    """Cells of the terminal, as rich finds them."""
    said = os.environ.get("COLUMNS", "")
    if said.isdecimal():
        return int(said[:9])
    for stream in (0, 1, 2):
        with suppress(OSError, AttributeError, ValueError):  # AttributeError: no such system call
            if columns := os.get_terminal_size(stream).columns:
                return columns
    return LEAST_HELP


def writes_every_letter() -> bool:
    """Whether stdout takes all of Unicode: elsewhere JSON has escapes, so that it stays exact."""
    return codecs.lookup(sys.stdout.encoding or "utf-8").name.startswith("utf")


def flush() -> None:
    """Write what is left for stdout; where that fails, say so and end with status 2."""
    try:
        sys.stdout.flush()
    except OSError as error:
        say(f"standard output: {error.strerror or error}")
        give_up()
        raise SystemExit(WRONG) from None


def give_up() -> None:
    """What cannot be written is not tried again when the process ends."""
    with suppress(OSError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
