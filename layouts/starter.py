"""A small house and scheme to start from."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path

from layouts.errors import EvenfallError
from layouts.files.write import all_or_none, write_atomically

STARTER = Path(__file__).parent / "starter_files"


def write_starter(folder: str | os.PathLike[str]) -> tuple[Path, ...]:
    """Writes a commented house and scheme into `folder`, making it where it is missing.

    Returns the files written. Raises EvenfallError, before anything is written, where one of them
    is there already or `folder` is a file.
    """
    return write_new(
        folder, {source.name: source.read_bytes() for source in sorted(STARTER.glob("*.yaml"))}
    )


def write_new(folder: str | os.PathLike[str], files: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Writes new files into `folder`, making it where it is missing; returns their paths.

    Raises EvenfallError, before anything is written, where one of them is there already or
    `folder` is a file, and where one cannot be written; then there is none of them.
    """
    target = Path(folder)
    check_new(target, files)
    try:
        with all_or_none(target) as begun:
            for name, content in files.items():
                file = target / name
                file.parent.mkdir(parents=True, exist_ok=True)
                begun.append(file)
                write_atomically(file, content)
    except OSError as error:
        where = error.filename or target
        raise EvenfallError(f"{where}: cannot be written: {error.strerror or error}") from None
    return tuple(target / name for name in files)


def check_new(target: Path, names: Iterable[str]) -> None:
    """Raises EvenfallError where one of the files is there already or `target` is a file."""
    if target.exists() and not target.is_dir():
        raise EvenfallError(f"{target} is a file, not a folder; name another")
    for name in names:
        file = target / name
        if file.exists() or file.is_symlink():
            raise EvenfallError(f"{file} is already there; name another folder, or move it away")
