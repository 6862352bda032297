"""Kernels: functions that numba compiles once and keeps on disk, wherever it may.

`njit` is numba's, with a cache that never stands in the way (`sim.kernel_cache`). Where neither
the installation nor the home may be written to, compiled code is kept in a temporary folder of the
user's own, or not at all.

numba takes longer to import than most verbs take to answer, so a kernel is handed to it when it is
first called: a module with kernels costs nothing until then.
"""

from __future__ import annotations

import gc
import os
import stat
import sys
import tempfile
import time
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache, update_wrapper
from pathlib import Path
from threading import RLock
from types import FunctionType
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from sim.kernel_cache import KernelCache

_LOCK = RLock()  # two threads may call a kernel for the first time
_PLAIN = ContextVar("plain", default=False)
_TOLD: list[tuple[Callable[[str], None], Callable[[], None]]] = []
_LOOK_AGAIN_S = 0.02

#: What kernels are there for, by the beginning of their names; the first that fits.
_SERVES = (
    ("sim.circuit.changed_kernel.", "what tries changes of the circuit"),
    ("sim.circuit.drawn_kernel.", "what works out the spread of the parts"),
    ("sim.circuit.short_kernel.", "what finds the fuses that a short opens"),
    ("sim.circuit.", "what solves the circuit"),
    ("sim.spread.", "what works out the spread of the parts"),
    ("sim.composed.", "what lays the effects"),
    ("sim.colour.", "what mixes the colours"),
    ("sim.light.", "what works out the light"),
    ("sim.plan.", "what plans the feeds"),
    ("sim.upkeep.", "what looks for faults"),
    ("sim.app.", "what draws the window"),
)


@dataclass
class _Sharing:
    """How compiling is shared with another process: what it makes, or what this one alone makes."""

    elsewhere: Collection[str] = ()  # names of kernels
    lives: Callable[[], bool] = bool  # whether the other process is still at it
    alone: Collection[str] | None = None  # other kernels run as plain Python; None: no kernel does


_SHARING = _Sharing()


class Kernel:
    """A function without Python objects, which is compiled or loaded when it is first called."""

    def __init__(
        self, function: Callable[..., Any], cache: bool, inner: bool, options: dict[str, Any]
    ):
        self._function, self._cache_wanted, self._options = function, cache, options
        self._inner = inner
        self._made: Any = None  # numba's, which another process may still compile
        self._compiled: Any = None
        self._kept: KernelCache | None = None
        self.name = f"{function.__module__}.{function.__qualname__}"
        update_wrapper(self, function)

    def __call__(self, *arguments: Any) -> Any:
        compiled = self._compiled
        if compiled is None or self._inner:
            alone = _SHARING.alone
            if _PLAIN.get() or (alone is not None and (self._inner or self.name not in alone)):
                compiled = self._function
            elif self._inner:
                raise TypeError(f"{self._function.__name__} is called by kernels alone")
            else:
                compiled = self._numba_s()
        return compiled(*arguments)

    def kept(self) -> bool | None:
        """Whether something compiled of it is kept on the disk; None where nothing can be kept."""
        self._numba()
        return None if self._kept is None else self._kept.holds_some()

    def __getattr__(self, name: str) -> Any:
        """What numba's own function has: its statistics, what it is compiled for."""
        if name.startswith("__"):
            raise AttributeError(name)
        return getattr(self._numba_s(), name)

    @property
    def _numba_type_(self) -> Any:
        """What numba asks for when one kernel calls another."""
        return self._numba_s()._numba_type_

    def _numba_s(self) -> Any:
        """The same as a function of numba, once no other process is about to keep it."""
        if self._compiled is None:
            made = self._numba()
            if self.name in _SHARING.elsewhere:
                while _SHARING.lives() and self.kept() is False:
                    time.sleep(_LOOK_AGAIN_S)
            self._compiled = made
        return self._compiled

    def _numba(self) -> Any:
        with _LOCK:
            if self._made is None:
                import numba

                _listen()
                # Nothing here is called from C, and what kernels alone call not from Python: the
                # ways in are as much to compile as a small function.
                ways: Any = {"no_cfunc_wrapper": True, "no_cpython_wrapper": self._inner}
                made = numba.njit(**self._options, **ways)(self._function)
                if self._cache_wanted:
                    self._kept = _kept(self._function)
                if self._kept is not None:
                    made._cache = self._kept
                self._made = made
        return self._made


def njit(
    *, cache: bool = True, inner: bool = False, **options: Any
) -> Callable[[Callable[..., Any]], Any]:
    """numba's decorator for functions without Python objects; `options` are numba's.

    `inner`: other kernels alone call it, and it is compiled without what Python would call, which
    takes an eighth of the time; from Python it can be called `plainly` alone.
    """

    def decorated(function: Callable[..., Any]) -> Any:
        return Kernel(function, cache, inner, options)

    return decorated


def asleep() -> bool:
    """Whether numba is not even imported yet, so that little work is done sooner without it."""
    return "numba" not in sys.modules


@contextmanager
def plainly(wanted: bool = True) -> Iterator[None]:
    """Kernels called here run as the Python that they are written in while they are not loaded.

    The numbers are the same: the steps are those of IEEE 754 either way. For work of some ten
    thousand steps at the most, of kernels that call nothing but each other.
    """
    before = _PLAIN.set(wanted)
    try:
        yield
    finally:
        _PLAIN.reset(before)


def await_from(lives: Callable[[], bool], names: Collection[str]) -> None:
    """Have a kernel of `names` awaited, when it is first called, while another process `lives`.

    It is awaited until that process has kept it; of one that has ended without, all is compiled
    here as ever.
    """
    _SHARING.elsewhere, _SHARING.lives = names, lives


def compile_alone(names: Collection[str]) -> None:
    """Compile no kernels but `names` and what these call; all others run as `plainly` from now."""
    _SHARING.alone = names


def tell_compiling(begun: Callable[[str], None], ended: Callable[[], None]) -> None:
    """Have `begun` (of its name) and `ended` called around the compilation of every kernel.

    Kernels call kernels, so another may begin before one has ended.
    """
    _TOLD.append((begun, ended))


@cache
def _listen() -> None:
    """Pass on what numba, which is imported by now, says of compiling.

    Python looks for circles of objects each time some have been made, and compiling makes millions
    that stay until it ends: a tenth of its time went into looking. numba compiles on one thread at
    a time and tells the end whatever happens, so the outermost end lets Python look again.
    """
    from numba.core import event

    class Compiling(event.Listener):
        deep, looked = 0, False

        def on_start(self, event: Any) -> None:
            if self.deep == 0:
                self.looked = gc.isenabled()
                gc.disable()
            self.deep += 1
            function = event.data["dispatcher"].py_func
            for begun, _ in _TOLD:
                begun(f"{function.__module__}.{function.__qualname__}")

        def on_end(self, event: Any) -> None:
            self.deep -= 1
            if self.deep == 0 and self.looked:
                gc.enable()
            for _, ended in _TOLD:
                ended()

    event.register("numba:compile", Compiling())


@cache
def folder() -> Path | None:
    """The temporary folder that compiled kernels are kept in; None where numba finds a place.

    Raises LookupError where nothing can be kept at all.
    """
    from sim.kernel_cache import KernelCache

    try:
        KernelCache(_probe)
    except (RuntimeError, OSError):
        own = _temporary()
        if own is None:
            raise LookupError("compiled kernels cannot be kept on this disk") from None
        return own
    return None


def serves(name: str) -> str:
    """What the kernel of this name is there for, in words of the user's."""
    return next((said for start, said in _SERVES if name.startswith(start)), "what is needed")


def in_words(what: str) -> str:
    """What to say when the first kernel is compiled of those for `what`, as `serves` has it."""
    try:
        place = folder()
    except LookupError:
        return (
            f"compiling {what}, some 5 s at every run: it cannot be kept here; "
            "set NUMBA_CACHE_DIR to a folder that may be written to"
        )
    kept = "for later runs" if place is None else f"in {place} until that is cleared"
    return f"compiling {what}, once, some 5 s; kept {kept}"


def _kept(function: Callable[..., Any]) -> KernelCache | None:
    """Where the compiled `function` is kept, None where nowhere."""
    import numba

    from sim.kernel_cache import KernelCache

    try:
        return KernelCache(function)
    except (RuntimeError, OSError):
        pass  # numba finds no place
    settings: Any = numba.config
    usual = settings.CACHE_DIR
    try:
        settings.CACHE_DIR = str(folder() or "")
        return KernelCache(function)
    except (LookupError, RuntimeError, OSError):
        return None
    finally:
        settings.CACHE_DIR = usual


def folder_of(file: Path) -> Path | None:
    """The folder that compiled kernels of a Python file are kept in; None where nowhere."""
    kept = _kept(FunctionType(_probe.__code__.replace(co_filename=str(file)), {}))
    return None if kept is None else kept.folder


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
