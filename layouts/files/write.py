"""Writing files so that nobody ever finds half of one, or loses what they had.

The new bytes go into a temporary file in the same folder, are brought to the disk, and then take
the name; owner, mode and extended attributes of the old file go with it. Where that cannot keep
what the file is (a hard link, an owner or attributes that may not be given away) it is written in
place, after a copy of the old bytes has been put beside it.
"""

from __future__ import annotations

import errno
import hashlib
import os
import re
import secrets
import shutil
import stat
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

#: A temporary file whose process cannot be asked for is removed after a day [s].
STALE_S = 86_400.0

#: What a disk says that takes no more.
FULL = (errno.ENOSPC, errno.EFBIG, errno.EIO, getattr(errno, "EDQUOT", errno.ENOSPC))

_TEMPORARY = re.compile(r"\.evenfall-([0-9a-f]{8})-(\d{1,10})-[0-9a-f]{8}\.tmp")


class Changed(Exception):
    """The file is not as it was when it was read; `found` are its bytes now, None if it is gone."""

    def __init__(self, found: bytes | None):
        super().__init__("the file has changed meanwhile")
        self.found = found


def digest(data: bytes) -> str:
    """What tells one content of a file from another."""
    return hashlib.sha256(data).hexdigest()


def backup_of(path: str | os.PathLike[str]) -> Path:
    """Where the copy of a file is kept from before the last change: hidden, beside it."""
    target = Path(os.path.realpath(path))
    return target.with_name(f".{target.name}.bak")


def write_atomically(
    path: str | os.PathLike[str], data: bytes, *, expected: str | None = None
) -> None:
    """Puts `data` into the file at `path`: whole, or not at all.

    A link is followed, and what is not a regular file (a pipe, /dev/stdout) is written to as it
    is. `expected` is the digest of what the file must still hold at the last moment.

    Raises Changed where it does not, OSError with the name of the file where the folder is missing,
    the file or its folder may not be written, or the disk is full; the file is then as it was.
    """
    with naming(path), piecewise(path, expected=expected) as file:
        file.write(data)


@contextmanager
def naming(path: str | os.PathLike[str]) -> Iterator[None]:
    """What the system refuses in the block is told with the name of this file: of a full disk it
    says none, and else perhaps that of a temporary file."""
    try:
        yield
    except OSError as error:
        if error.errno is not None:
            error.filename, error.filename2 = os.fspath(path), None
        raise


@contextmanager
def piecewise(path: str | os.PathLike[str], *, expected: str | None = None) -> Iterator[BinaryIO]:
    """A file to be filled piece by piece, which takes the name `path` when the block ends well.

    Where the block raises, the file at `path` is as it was. Otherwise as `write_atomically`.
    """
    try:
        yield from _filled(path, expected)
    except OSError as error:
        if error.filename is None and error.errno in FULL:  # of a full disk the system says no name
            error.filename = os.fspath(path)
        raise


def _filled(path: str | os.PathLike[str], expected: str | None) -> Iterator[BinaryIO]:
    target = Path(os.path.realpath(path))
    if target.exists() and not target.is_file():
        with open(target, "wb") as stream:
            yield stream
        return
    old = target.stat() if target.exists() else None
    if old is not None and not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES), str(path))
    temporary = temporary_name(target)
    try:
        with open(temporary, "xb") as file:
            yield file
            file.flush()
            os.fsync(file.fileno())
        like_old = old is None or (old.st_nlink == 1 and _made_alike(temporary, target, old))
        if expected is not None:
            _compare(target, expected)
        if like_old:
            os.replace(temporary, target)
            sync_folder(target.parent)
        else:
            _in_place(target, temporary.read_bytes())
    finally:
        temporary.unlink(missing_ok=True)


def create_atomically(path: str | os.PathLike[str], data: bytes) -> None:
    """Puts `data` into a new file at `path`: whole, or there is none.

    Raises FileExistsError where there is a file of that name, however late it came, and OSError as
    `write_atomically`.
    """
    target = Path(os.path.realpath(path))
    with naming(path):
        if os.path.lexists(target):
            raise FileExistsError(errno.EEXIST, os.strerror(errno.EEXIST))
        temporary = temporary_name(target)
        try:
            write_synced(temporary, data)
            take_name(temporary, target)
            sync_folder(target.parent)
        finally:
            temporary.unlink(missing_ok=True)


def write_synced(file: Path, data: bytes) -> None:
    """Puts `data` into a file that is not there yet, and all of it on the disk."""
    with open(file, "xb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def take_name(temporary: Path, target: Path) -> None:
    """Give a file a name that nobody has; raises FileExistsError where somebody has."""
    try:
        os.link(temporary, target)  # fails where the name is taken, which a renaming does not
    except FileExistsError:
        raise
    except OSError:  # a disk without second names
        with open(target, "xb"):
            pass
        try:
            os.replace(temporary, target)
        except BaseException:
            target.unlink(missing_ok=True)
            raise


def temporary_name(target: Path) -> Path:
    """A name beside `target` that nothing has; what killed processes left there is removed."""
    clear_temporary(target.parent)
    return target.with_name(f".evenfall-{_host()}-{os.getpid()}-{secrets.token_hex(4)}.tmp")


def clear_temporary(folder: Path) -> None:
    """Removes the temporary files and folders that a killed process of ours left in a folder."""
    try:
        names = [entry.name for entry in os.scandir(folder) if entry.name.startswith(".evenfall-")]
    except OSError:
        return  # a folder that can be written to need not be readable
    for name in names:
        found = _TEMPORARY.fullmatch(name)
        if found is None:
            continue
        file = folder / name
        try:
            here = found[1] == _host() and os.name == "posix"
            old = time.time() - file.stat().st_mtime > STALE_S
            if not (old or (here and not _alive(int(found[2])))):
                continue
            if file.is_dir() and not file.is_symlink():
                shutil.rmtree(file)
            else:
                file.unlink()
        except OSError:
            continue  # somebody else's, or gone already


def _host() -> str:
    """Eight digits that stand for this machine: processes of others cannot be asked for."""
    name = os.uname().nodename if hasattr(os, "uname") else os.environ.get("COMPUTERNAME", "")
    return hashlib.sha256(name.encode()).hexdigest()[:8]


def _alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        return True  # it is there, but somebody else's
    return True


def _compare(target: Path, expected: str) -> None:
    try:
        found = target.read_bytes()
    except FileNotFoundError:
        raise Changed(None) from None
    if digest(found) != expected:
        raise Changed(found)


def _made_alike(temporary: Path, target: Path, old: os.stat_result) -> bool:
    """Whether the temporary file could be given the owner, mode and attributes of the target."""
    try:
        new = temporary.stat()
        if hasattr(os, "chown") and (new.st_uid, new.st_gid) != (old.st_uid, old.st_gid):
            os.chown(temporary, old.st_uid, old.st_gid)
        temporary.chmod(stat.S_IMODE(old.st_mode))
        if hasattr(os, "listxattr"):
            for name in os.listxattr(target):
                value = os.getxattr(target, name)
                if name not in os.listxattr(temporary) or os.getxattr(temporary, name) != value:
                    os.setxattr(temporary, name, value)
    except OSError as error:
        return error.errno == errno.ENOTSUP
    return True


def _in_place(target: Path, data: bytes) -> None:
    """Writes over a file that must stay the one it is. A kill here leaves its old bytes beside."""
    backup = backup_of(target)
    with open(backup, "wb") as kept:
        backup.chmod(stat.S_IMODE(target.stat().st_mode) & 0o777)
        kept.write(target.read_bytes())
        kept.flush()
        os.fsync(kept.fileno())
    sync_folder(target.parent)
    with open(target, "r+b") as file:
        file.write(data)
        file.truncate()
        file.flush()
        os.fsync(file.fileno())


def sync_folder(folder: Path) -> None:
    """Brings the new name to the disk, where the system lets a folder be synced."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        pass
    finally:
        os.close(handle)
