"""Noticing that a file was saved. Polled: it works on every system and file share alike."""

from __future__ import annotations

import os
from collections.abc import Iterable

#: How often the files are looked at [s].
EVERY_S = 0.4

Stamp = tuple[tuple[str, int, int, int], ...]


def stamp(paths: Iterable[str | os.PathLike[str] | None]) -> Stamp:
    """What changes when any of the files is saved, replaced, made or removed."""
    return tuple(_one(os.fspath(path)) for path in paths if path is not None)


def _one(path: str) -> tuple[str, int, int, int]:
    try:
        status = os.stat(path)
    except (OSError, ValueError):  # a name with a NUL is no file's name
        return path, 0, -1, 0
    return path, status.st_mtime_ns, status.st_size, status.st_ino


class Watch:
    """Tells when the files it watches have changed and have come to rest."""

    def __init__(self) -> None:
        self._seen: Stamp | None = None
        self._moving: Stamp | None = None
        self._next_s = 0.0

    def changed(self, paths: Iterable[str | os.PathLike[str] | None], now_s: float) -> bool:
        """Whether to read the files anew. `now_s` is any clock that only goes forward [s].

        A change is told on the second look that finds it, so that a save in progress is over.
        """
        if now_s < self._next_s:
            return False
        self._next_s = now_s + EVERY_S
        found = stamp(paths)
        if self._seen is None or [one[0] for one in found] != [one[0] for one in self._seen]:
            self._seen, self._moving = found, None
            return False
        if found == self._seen:
            self._moving = None
            return False
        if found != self._moving:
            self._moving = found
            self._next_s = now_s + EVERY_S / 4
            return False
        self._seen, self._moving = found, None
        return True
