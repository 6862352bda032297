"""Kernels: functions that numba compiles once and keeps on disk, wherever it may.

`njit` is numba's, with a cache that never stands in the way. Where neither the installation nor
the home may be written to, compiled code is kept in a temporary folder of the user's own, or not
at all. What is damaged, or does not fit what is installed now, is thrown away and compiled again:
every file carries a checksum, because machine code with a wrong bit would not fail, but lie.
"""

from __future__ import annotations

import hashlib
import os
import pickle
import re
import stat
import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numba
from numba.core import caching

_DIGEST = hashlib.sha256
_IMPORTED = re.compile(rb"^from [\w.]*?(\w+) import", re.MULTILINE)
_SIZE = _DIGEST().digest_size


class Damaged(Exception):
    """A file of the cache is not as it was written."""


def njit(*, cache: bool = True, **options: Any) -> Callable[[Callable[..., Any]], Any]:
    """numba's decorator for functions without Python objects; `options` are numba's."""

    def decorated(function: Callable[..., Any]) -> Any:
        compiled = numba.njit(**options)(function)
        kept = _kept(function) if cache else None
        if kept is not None:
            compiled._cache = kept
        return compiled

    return decorated


@cache
def folder() -> Path | None:
    """The temporary folder that compiled kernels are kept in; None where numba finds a place.

    Raises LookupError where nothing can be kept at all.
    """
    try:
        _Cache(_probe)
    except (RuntimeError, OSError):
        own = _temporary()
        if own is None:
            raise LookupError("compiled kernels cannot be kept on this disk") from None
        return own
    return None


def in_words() -> str:
    """What to say of the first compilation of a kernel."""
    try:
        place = folder()
    except LookupError:
        return (
            "compiling kernels, about 20 s at every run: they cannot be kept here; "
            "set NUMBA_CACHE_DIR to a folder that may be written to"
        )
    if place is None:
        return "compiling kernels once, about 20 s; later runs start at once"
    return f"compiling kernels once, about 20 s; kept in {place} until that is cleared"


def _kept(function: Callable[..., Any]) -> caching.Cache | None:
    """Where the compiled `function` is kept, None where nowhere."""
    try:
        return _Cache(function)
    except (RuntimeError, OSError):
        pass  # numba finds no place
    settings: Any = numba.config
    usual = settings.CACHE_DIR
    try:
        settings.CACHE_DIR = str(folder() or "")
        return _Cache(function)
    except (LookupError, RuntimeError, OSError):
        return None
    finally:
        settings.CACHE_DIR = usual


def _probe() -> None:
    """Stands for every kernel where the place to keep them is looked for."""


def _temporary() -> Path | None:
    """A folder that nobody else may write to: what lies in it is loaded as code."""
    user = str(os.getuid()) if hasattr(os, "getuid") else ""
    place = Path(tempfile.gettempdir()) / f"evenfall-kernels-{user}"
    try:
        place.mkdir(mode=0o700, exist_ok=True)
        found = place.lstat()
    except OSError:
        return None
    if not stat.S_ISDIR(found.st_mode):
        return None
    if hasattr(os, "getuid") and (found.st_uid != os.getuid() or found.st_mode & 0o022):
        return None
    return place


@cache
def _kernels_beside(place: Path) -> str:
    """A digest of every file with kernels in a folder and of those there that they import from.

    Functions and numbers from there are compiled in, while numba looks at a kernel's own file only.
    """
    texts = {file.stem: file.read_bytes() for file in sorted(place.glob("*.py"))}
    names = {name for name, text in texts.items() if b"njit" in text}
    imported = [_IMPORTED.findall(texts[name]) for name in names]
    names |= {name.decode() for found in imported for name in found} & texts.keys()
    return _DIGEST(b"\0".join(texts[name] for name in sorted(names))).hexdigest()


class _Cache(caching.FunctionCache):
    """numba's cache of one function, which tells no errors."""

    def __init__(self, function: Callable[..., Any]):
        super().__init__(function)
        plain = self._cache_file
        beside = Path(function.__code__.co_filename).parent
        stamp = (plain._source_stamp, _kernels_beside(beside))
        self._cache_file = _CacheFile(self._cache_path, self._impl.filename_base, stamp)

    def load_overload(self, sig: Any, target_context: Any) -> Any:
        """The compiled function, None where it has to be compiled (again)."""
        try:
            return super().load_overload(sig, target_context)
        except Exception:  # whatever a damaged or foreign pickle can raise
            self._forget()
            return None

    def save_overload(self, sig: Any, data: Any) -> None:
        """Keep the compiled function, where the disk takes it."""
        try:
            super().save_overload(sig, data)
        except (OSError, EOFError, pickle.PickleError, AttributeError):
            self._forget()

    def _forget(self) -> None:
        try:
            self.flush()
        except OSError:
            self.disable()


class _CacheFile(caching.IndexDataCacheFile):
    """numba's files of one function, with a checksum before the machine code."""

    def save(self, key: Any, data: Any) -> None:
        """Keep `data` in a file named by its `key`, before the index names it.

        numba numbers the files: of two processes that compile at once for other arguments, both
        would take the same number, and one would then run what was compiled for the other's.
        """
        name = self._data_name(_DIGEST(repr(key).encode()).hexdigest()[:16])
        self._save_data(name, data)
        overloads = self._load_index()
        if overloads.get(key) != name:
            self._save_index({**overloads, key: name})

    def _data_name(self, number: Any) -> str:
        return str(self._data_name_pattern.replace("{number:d}", str(number)))

    def _save_data(self, name: str, data: Any) -> None:
        code = self._dump(data)
        with self._open_for_write(self._data_path(name)) as file:
            file.write(_DIGEST(code).digest() + code)

    def _load_data(self, name: str) -> Any:
        held = Path(self._data_path(name)).read_bytes()
        if _DIGEST(held[_SIZE:]).digest() != held[:_SIZE]:
            raise Damaged(name)
        return pickle.loads(held[_SIZE:])
