"""New files that belong together: all of them appear, or none.

A folder that is not there yet is filled under a temporary name beside it and takes its name whole:
even a process that is killed leaves nothing of it but what the next one clears away. In a folder
that is there every file is written under a temporary name first, and then they take their names
one right after the other, the first of them last. Only a kill between two of these leaves some;
they are whole, and the next call with the same files goes on from them.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterable, Mapping
from contextlib import suppress
from pathlib import Path

from layouts.files.write import (
    clear_temporary,
    naming,
    sync_folder,
    take_name,
    temporary_name,
    write_synced,
)


def create_together(folder: str | os.PathLike[str], files: Mapping[str, bytes]) -> None:
    """Puts new files, by their names within `folder`, into it; makes it where it is missing.

    What holds the wanted bytes already stays. Raises FileExistsError where a file of such a name
    holds others, and OSError with the name of the file or folder where one cannot be written; then
    nothing is left of what it made. Interrupted, it leaves nothing either, or all, if it was done.
    """
    target = Path(folder)
    made = [each for each in (target, *target.parents) if not os.path.lexists(each)]
    try:
        if made:
            with naming(folder):
                target.parent.mkdir(parents=True, exist_ok=True)
            _as_one(target, files)
        else:
            _one_by_one(target, files)
    except BaseException:
        _remove_empty(made)
        raise


def holds(file: Path, data: bytes) -> bool:
    """Whether a file holds just these bytes."""
    with suppress(OSError):
        return file.is_file() and file.read_bytes() == data
    return False


def _as_one(target: Path, files: Mapping[str, bytes]) -> None:
    with naming(target):
        aside = temporary_name(target)
    try:
        with naming(target):
            aside.mkdir()
        for name, data in files.items():
            with naming(target / name):
                (aside / name).parent.mkdir(parents=True, exist_ok=True)
                write_synced(aside / name, data)
        with naming(target):
            for place in {(aside / name).parent for name in files}:
                sync_folder(place)
            os.rename(aside, target)
            sync_folder(target.parent)
    except BaseException:
        shutil.rmtree(aside, ignore_errors=True)
        raise


def _one_by_one(target: Path, files: Mapping[str, bytes]) -> None:
    for place in {(target / name).parent for name in files}:
        clear_temporary(place)  # what a killed call left, even where nothing is to be done now
    wanted = {target / name: data for name, data in files.items() if not holds(target / name, data)}
    places = dict.fromkeys(each.parent for each in wanted)
    made = [each for place in places for each in _missing(place)]
    aside: dict[Path, Path] = {}
    begun: dict[Path, os.stat_result] = {}
    try:
        for file, data in wanted.items():
            with naming(file):
                file.parent.mkdir(parents=True, exist_ok=True)
                aside[file] = temporary_name(file)
                write_synced(aside[file], data)
        for file in reversed(wanted):
            with naming(file):
                begun[file] = aside[file].stat()
                take_name(aside[file], file)
        for place in places:
            sync_folder(place)
        _discard(aside.values())
    except BaseException:
        for file, written in begun.items():
            with suppress(OSError):
                if os.path.samestat(file.lstat(), written):  # not what somebody else put there
                    file.unlink()
        _discard(aside.values())
        _remove_empty(made)
        raise


def _missing(place: Path) -> list[Path]:
    """The folder and those it is in as far as they are missing, the inmost first."""
    return [each for each in (place, *place.parents) if not each.exists()]


def _discard(files: Iterable[Path]) -> None:
    for each in files:
        with suppress(OSError):
            each.unlink(missing_ok=True)


def _remove_empty(folders: Iterable[Path]) -> None:
    """Folders that were made here, as long as nobody else has put something there."""
    for each in sorted(set(folders), key=lambda one: len(one.parts), reverse=True):
        with suppress(OSError):
            each.rmdir()
