"""numba's cache of compiled functions, which never stands in the way.

What is damaged, or does not fit what is installed now, is thrown away and compiled again: every
file carries a checksum, because machine code with a wrong bit would not fail, but lie.

Importing this module imports numba; `sim.kernels` does so when the first kernel is called.
"""

from __future__ import annotations

import hashlib
import io
import os
import pickle
import re
import sys
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from functools import cache
from pathlib import Path
from typing import Any, BinaryIO

from numba.core import caching, environment
from numba.core.runtime import rtsys

_DIGEST = hashlib.sha256
_IMPORTED = re.compile(rb"^from [\w.]*?(\w+) import", re.MULTILINE)
_SIZE = _DIGEST().digest_size


class Damaged(Exception):
    """A file of the cache is not as it was written."""


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


class KernelCache(caching.FunctionCache):
    """numba's cache of one function, which tells no errors."""

    def __init__(self, function: Callable[..., Any]):
        super().__init__(function)
        plain = self._cache_file
        beside = Path(function.__code__.co_filename).parent
        stamp = (plain._source_stamp, _kernels_beside(beside))
        self._cache_file = KernelFile(self._cache_path, self._impl.filename_base, stamp)

    @property
    def folder(self) -> Path:
        """Where its files lie."""
        return Path(self._cache_path)

    def holds_some(self) -> bool:
        """Whether the function as it is now has been kept, for whatever arguments."""
        try:
            return bool(self._cache_file._load_index())
        except Exception:  # whatever a damaged or foreign pickle can raise
            return False

    def load_overload(self, sig: Any, target_context: Any) -> Any:
        """The compiled function, None where it has to be compiled (again)."""
        for load in (self._load_alone, super().load_overload):
            try:
                return load(sig, target_context)
            except Exception:  # whatever a damaged or foreign pickle can raise
                continue
        self._forget()
        return None

    def _load_alone(self, sig: Any, target_context: Any) -> Any:
        """The compiled function, without what only compiling needs.

        numba first imports how every Python and numpy function is compiled, a quarter of a second;
        machine code that is there already needs nothing but its runtime. (Kernels that hash would
        need more; none does.) What is missing is compiled, and the compiler imports it itself.
        """
        rtsys.initialize(target_context)
        return self._load_overload(sig, target_context)

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


class KernelFile(caching.IndexDataCacheFile):
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

    @contextmanager
    def _open_for_write(self, filepath: str) -> Iterator[BinaryIO]:
        """A file that takes its name when it is whole; nothing is left of it after an interrupt
        either, with which a second process that compiles is ended."""
        aside = f"{filepath}.tmp.{uuid.uuid4().hex[:16]}"
        try:
            with open(aside, "wb") as file:
                yield file
            os.replace(aside, filepath)
        except BaseException:
            with suppress(OSError):
                os.unlink(aside)
            raise

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
        return _Loader(io.BytesIO(held[_SIZE:])).load()


class _Loader(pickle.Unpickler):
    """Fetches compiled code without what only compiling needs."""

    def find_class(self, module: str, name: str) -> Any:
        """What the file names, but environments as `_environment` makes them."""
        if (module, name) == ("numba.core.environment", "_rebuild_env"):
            return _environment
        return super().find_class(module, name)


def _environment(module: str, constants: list[Any], name: str) -> environment.Environment:
    """What compiled code finds its Python objects in: as numba makes it, from its `module`.

    Of numba's own functions numba would import the module, with everything that it has to compile
    them anew, for names that code without Python objects never looks up.
    """
    if module in sys.modules or not module.startswith("numba."):
        return environment._rebuild_env(module, constants, name)
    made = environment.lookup_environment(name)
    if made is None:
        made = environment.Environment({"__name__": module})
        made.consts[:] = constants
        made.env_name = name
        environment.Environment._memo[name] = made
    return made
