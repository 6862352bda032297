"""Where the window keeps what must outlive it: unsaved values and the record of faults."""

from __future__ import annotations

import hashlib
import os
import tempfile
from pathlib import Path

import platformdirs


def state_folder() -> Path:
    """The folder for it, made where it is missing; a temporary one where there is no other."""
    for path in (Path(platformdirs.user_state_dir("evenfall", appauthor=False)),
                 Path(tempfile.gettempdir()) / f"evenfall-{_user()}"):  # fmt: skip
        try:
            path.mkdir(mode=0o700, parents=True, exist_ok=True)
        except OSError:
            continue
        if os.access(path, os.W_OK):
            return path
    return Path(tempfile.gettempdir())


def _user() -> str:
    return str(os.getuid()) if hasattr(os, "getuid") else "user"


def recovery_path(scheme_file: str) -> Path:
    """The file that holds what is unsaved of one scheme."""
    name = Path(scheme_file).name.removesuffix(".yaml").removesuffix(".scheme")
    return _path("unsaved", name, scheme_file)


def drawing_path(house_file: str, number: int = 1) -> Path:
    """The file that holds an unwritten drawing of one house; windows side by side have each one."""
    path = _path("drawing", Path(house_file).resolve().parent.name, house_file)
    return path if number == 1 else path.with_stem(f"{path.stem}-{number}")


def _path(what: str, name: str, file: str) -> Path:
    whole = os.path.realpath(file).encode("utf-8", "surrogateescape")
    plain = "".join(letter for letter in name[:40] if letter.isalnum() or letter in "-_")
    return state_folder() / f"{what}-{plain}-{hashlib.sha256(whole).hexdigest()[:12]}.json"
