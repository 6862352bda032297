"""Standard output as it is: full, narrow, or without letters beyond ASCII."""

from __future__ import annotations

import codecs
import errno
import io
import os
import sys

from sim.cli.common import WRONG, say

#: A terminal that says it is narrower [cells] is taken for that wide.
LEAST_COLUMNS = 20


class _Closed(io.TextIOBase):
    """Standard output that whoever called has closed: nothing can be written to it."""

    encoding = "utf-8"

    def write(self, text: str) -> int:
        raise OSError(errno.EBADF, "it is closed")


def reopen() -> None:
    """Have results for a closed standard output fail, and errors for a closed stderr go nowhere:
    Python would let the first vanish and write the others among the results."""
    if sys.stdout is None:
        sys.stdout = _Closed()
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w")  # noqa: SIM115 - as long as the process


def widen() -> None:
    """Have no report set in fewer columns than words need, whatever the environment says."""
    columns = os.environ.get("COLUMNS", "")
    if columns.isdecimal() and int(columns[:9]) < LEAST_COLUMNS:
        os.environ["COLUMNS"] = str(LEAST_COLUMNS)


def writes_every_letter() -> bool:
    """Whether stdout takes all of Unicode: elsewhere JSON has escapes, so that it stays exact."""
    return codecs.lookup(sys.stdout.encoding or "utf-8").name.startswith("utf")


def flush() -> None:
    """Write what is left for stdout; where that fails, say so and end with status 2."""
    try:
        sys.stdout.flush()
    except OSError as error:
        say(f"standard output: {error.strerror or error}")
        # what cannot be written is not tried again when the process ends
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise SystemExit(WRONG) from None
