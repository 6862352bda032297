"""The last resort: what fails inside is told and written down, and the window goes on."""

from __future__ import annotations

import time
import traceback
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from sim.app.work.places import state_folder

#: A part that failed is tried again after this long [s].
REST_S = 1.0
#: The record of faults is begun anew beyond this size.
MOST_BYTES = 200_000


class Guard:
    """Runs the parts of a turn. One that fails rests for a while; `told` hears of it."""

    def __init__(self, told: Callable[[str, Exception], None]):
        self._told = told
        self._rests_s: dict[str, float] = {}

    def turn(self, seconds: float) -> None:
        """Time has passed."""
        self._rests_s = {name: left - seconds for name, left in self._rests_s.items()
                         if left > seconds}  # fmt: skip

    def rests(self, name: str) -> bool:
        """Whether a part failed a short while ago."""
        return name in self._rests_s

    def run(self, name: str, part: Callable[[], None], rest_s: float = REST_S) -> bool:
        """Run a part unless it rests; whether it ran to its end."""
        if self.rests(name):
            return False
        try:
            part()
        except Exception as error:
            if rest_s:
                self._rests_s[name] = rest_s
            write_down(name, error)
            self._told(name, error)
            return False
        return True


def write_down(name: str, error: BaseException) -> Path | None:
    """Put the whole story of a fault into the record of faults, for whoever mends it."""
    with suppress(OSError):
        path = state_folder() / "faults.txt"
        mode = "a" if path.exists() and path.stat().st_size < MOST_BYTES else "w"
        with path.open(mode, encoding="utf-8", errors="backslashreplace") as file:
            file.write(time.strftime("%Y-%m-%d %H:%M:%S ") + name + "\n")
            file.writelines(traceback.format_exception(error))
        return path
    return None


def in_words(name: str, error: BaseException) -> str:
    """A fault in one line."""
    what = " ".join(str(error).split())[:200]
    return f"{name}: {type(error).__name__}" + (f": {what}" if what else "")
