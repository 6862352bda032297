"""The first picture after installing: a second process compiles its share of the kernels.

numba compiles in Python, so a thread does not help. The second process draws in miniature
(`sim.miniature`) and keeps what it compiles where this one looks for it; whatever it does not
keep, for whatever reason, is compiled here. It changes nothing but the time.
"""

from __future__ import annotations

import atexit
import json
import os
import subprocess
import sys
import time
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import Any

from sim.kernels import await_from, folder_of, tell_compiling
from sim.miniature import LAST, SHARE
from sim.quota import cores

#: Compiling takes some ten seconds; a process that takes much longer is not waited for [s].
_LONGEST_S = 60.0
_END_WITHIN_S = 2.0
_HERE = Path(__file__).parent
_PROGRAM = (
    "import json, sys; sys.path[:] = json.loads(sys.argv[1]); "
    "from sim.miniature import main; main(sys.argv[2])"
)


class Second:
    """A second process; the words after the interpreter's own name are `arguments`."""

    def __init__(self, *arguments: str):
        self._process = subprocess.Popen(
            [sys.executable, *arguments],
            stdin=subprocess.PIPE, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            # numba reads settings from a file in the folder it starts in, as they come
            cwd=_HERE, env=_environment(),
            creationflags=getattr(subprocess, "CREATE_NO_WINDOW", 0),
        )  # fmt: skip
        self._until = time.monotonic() + _LONGEST_S

    def lives(self) -> bool:
        """Whether it is still at work, and worth waiting for."""
        return self._process.poll() is None and time.monotonic() < self._until

    def end(self) -> None:
        """Have it end: it reads this pipe, and finds it shut even when this process is killed."""
        assert self._process.stdin is not None
        self._process.stdin.close()
        try:
            self._process.wait(_END_WITHIN_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            self._process.wait()


@cache
def share_compiling(form: str) -> None:
    """Have a second process compile its share, now or as soon as a kernel has to be compiled.

    For what draws a picture for a "file" or for the "screen": called before the long imports, so
    that both processes do theirs at once. Nothing happens where one core has to do it all.
    """
    if cores() < 2 or not sys.executable or hasattr(sys, "frozen"):  # or no interpreter
        return
    seems_kept = _seems_kept(LAST[form])
    if seems_kept:  # but may be of another version
        tell_compiling(lambda _: _begin_if_missing(form), lambda: None)
    elif seems_kept is False:
        _begin(form)


@cache
def _begin_if_missing(form: str) -> None:
    if _kernel(LAST[form]).kept() is False:
        _begin(form)


def _begin(form: str) -> None:
    try:
        places = json.dumps([os.path.abspath(place) for place in sys.path])
        second = Second(*_as_here(), "-P", "-c", _PROGRAM, places, form)
    except OSError:
        return
    atexit.register(second.end)
    await_from(second.lives, frozenset(SHARE))


def _environment() -> dict[str, str]:
    """Ours; a folder that it names from here is the same from there."""
    told = dict(os.environ)
    if told.get("NUMBA_CACHE_DIR"):
        told["NUMBA_CACHE_DIR"] = os.path.abspath(told["NUMBA_CACHE_DIR"])
    return told


def _as_here() -> list[str]:
    """What of a user's own Python the interpreter was told to leave alone, as its options."""
    told = sys.flags
    given = {"-I": told.isolated, "-E": told.ignore_environment, "-s": told.no_user_site}
    return [option for option, on in given.items() if on]


def _kernel(name: str) -> Any:
    module, _, function = name.rpartition(".")
    return getattr(import_module(module), function)


def _seems_kept(name: str) -> bool | None:
    """Whether anything lies where a kernel would be kept, None where that is nowhere.

    The usual place is looked at without numba.
    """
    _, package, module, function = name.split(".")
    file = _HERE / package / f"{module}.py"
    files = f"{module}.{function}-*.nbi"
    chosen = bool(os.environ.get("NUMBA_CACHE_DIR"))
    if not chosen and any((file.parent / "__pycache__").glob(files)):
        return True
    place = folder_of(file)
    return None if place is None else any(place.glob(files))
