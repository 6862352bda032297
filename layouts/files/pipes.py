"""Bytes of a file or of a pipe, such as a shell's process substitution; a pipe must not stay mute.

A named pipe to which nobody writes would otherwise be waited for without an end.
"""

from __future__ import annotations

import os
import pathlib
import select
import stat

#: So long a pipe may give nothing before it is refused [s].
LONGEST_WAIT_S = 10.0


def read_bytes(path: pathlib.Path, most: int) -> bytes:
    """The first `most` bytes of what is at `path`.

    Raises OSError, and TimeoutError (one too) where a pipe gives nothing for LONGEST_WAIT_S.
    """
    if hasattr(os, "O_NONBLOCK") and stat.S_ISFIFO(path.stat().st_mode):
        return _from_pipe(path, most)
    with path.open("rb") as file:
        return file.read(most)


def _from_pipe(path: pathlib.Path, most: int) -> bytes:
    pipe = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
    try:
        parts: list[bytes] = []
        left = most
        while left > 0:
            if not select.select([pipe], [], [], LONGEST_WAIT_S)[0]:
                what = f"it is a pipe, and gave nothing for {LONGEST_WAIT_S:g} s"
                raise TimeoutError(0, what, os.fspath(path))
            try:
                part = os.read(pipe, left)
            except BlockingIOError:  # another reader was quicker
                continue
            if not part:
                break
            parts.append(part)
            left -= len(part)
        return b"".join(parts)
    finally:
        os.close(pipe)
