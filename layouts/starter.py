"""A small house and scheme to start from."""

from __future__ import annotations

import os
from collections.abc import Iterable, Mapping
from pathlib import Path

from layouts.errors import EvenfallError
from layouts.files.together import create_together, holds

_ELSE = "name another folder, or move it away"
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
    `folder` is a file, and where one cannot be written; then there is none of them. Some of them,
    but not all, that are just as they would be written are what a killed call left: it goes on.
    """
    target = Path(folder)
    there = [name for name in files if holds(target / name, files[name])]
    check_new(target, files if len(there) == len(files) else files.keys() - there)
    try:
        create_together(target, files)
    except FileExistsError as error:
        raise EvenfallError(f"{error.filename or target} is already there; {_ELSE}") from None
    except OSError as error:
        where = error.filename or target
        raise EvenfallError(f"{where}: cannot be written: {error.strerror or error}") from None
    return tuple(target / name for name in files)


def check_new(target: Path, names: Iterable[str]) -> None:
    """Raises EvenfallError where one of the files is there already or `target` is a file."""
    if target.exists() and not target.is_dir():
        raise EvenfallError(f"{target} is a file, not a folder; name another")
    for name in sorted(names):
        if os.path.lexists(target / name):
            raise EvenfallError(f"{target / name} is already there; {_ELSE}")
