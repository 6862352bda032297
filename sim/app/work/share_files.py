"""Where what is shared is saved, and the folder of it opened."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import platformdirs

from layouts import EvenfallError
from layouts.files.write import FULL, create_atomically
from sim.app.state.sharing import names

NOWHERE = "neither the house's folder, nor that of pictures, nor home can be written to"


def folders(house_file: str) -> tuple[Path, ...]:
    """Where it would be saved, the best first: beside the house, among pictures, at home."""
    pictures = Path(platformdirs.user_pictures_dir())
    return (Path(house_file).resolve().parent, pictures, Path.home())


def save(data: bytes, house_file: str, stem: str, ending: str) -> Path:
    """Put `data` into a new file in the first folder that takes it; returns which.

    A file that is there already is never written over: the name gets a number.

    Raises EvenfallError where no folder can be written to, OSError where the disk is full.
    """
    for folder in folders(house_file):
        if not (folder.is_dir() and os.access(folder, os.W_OK | os.X_OK)):
            continue
        for name in names(stem, ending):
            try:
                create_atomically(folder / name, data)
            except FileExistsError:
                continue
            except OSError as error:
                if error.errno in FULL:  # another folder may lie on the same disk
                    raise
                break  # a disk that is read only only says so here
            return folder / name
    raise EvenfallError(NOWHERE)


def open_folder(path: str) -> str:
    """Show the folder of a file as the system does; returns what went wrong, "" where nothing.

    It may take as long as what shows the folder is open.
    """
    folder = str(Path(path).parent)
    cannot = f"The folder cannot be opened from here; it is {folder}"
    if not Path(folder).is_dir():
        return f"The folder is not there any more: {folder}"
    if hasattr(os, "startfile"):
        try:
            os.startfile(folder)
        except OSError:
            return cannot
        return ""
    opener = shutil.which("open" if sys.platform == "darwin" else "xdg-open")
    if opener is None:
        return cannot
    try:
        done = subprocess.run(
            [opener, folder], stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL, start_new_session=True, check=False,
        )  # fmt: skip
    except OSError:
        return cannot
    return cannot if done.returncode else ""
