"""A small house and scheme to start from."""

from __future__ import annotations

import os
from pathlib import Path

from layouts.errors import EvenfallError
from layouts.files.write import write_atomically

STARTER = Path(__file__).parent / "starter_files"


def write_starter(folder: str | os.PathLike[str]) -> tuple[Path, ...]:
    """Writes a commented house and scheme into `folder`, making it where it is missing.

    Returns the files written. Raises EvenfallError, before anything is written, where one of them
    is there already or `folder` is a file.
    """
    target = Path(folder)
    if target.exists() and not target.is_dir():
        raise EvenfallError(f"{target} is a file, not a folder; name another")
    made = [(target / source.name, source) for source in sorted(STARTER.glob("*.yaml"))]
    for file, _ in made:
        if file.exists():
            raise EvenfallError(f"{file} is already there; name another folder, or move it away")
    target.mkdir(parents=True, exist_ok=True)
    for file, source in made:
        write_atomically(file, source.read_bytes())
    return tuple(file for file, _ in made)
