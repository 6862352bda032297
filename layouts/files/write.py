"""Writing files so that nobody ever finds half of one."""

from __future__ import annotations

import os
import secrets
from pathlib import Path


def write_atomically(path: str | os.PathLike[str], data: bytes) -> None:
    """Puts `data` into the file at `path`: whole, or not at all.

    The bytes go into a temporary file in the same folder, which then takes the name; a link is
    followed, and what is not a regular file (a pipe, /dev/stdout) is written to as it is. Raises
    OSError where the folder is missing or may not be written.
    """
    target = Path(os.path.realpath(path))
    if target.exists() and not target.is_file():
        target.write_bytes(data)
        return
    temporary = target.with_name(f".{target.name}.{secrets.token_hex(4)}.tmp")
    try:
        with open(temporary, "xb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        if target.exists():
            temporary.chmod(target.stat().st_mode & 0o777)
        os.replace(temporary, target)
    finally:
        temporary.unlink(missing_ok=True)
