"""Waiting for what may hang: four minutes, and what never comes is told by its source."""

from __future__ import annotations

import inspect
import time
from collections.abc import Callable

#: How long is waited [s], and what of that the machine must have given this process [s]: others
#: may load it.
WAIT_S, OWN_S = 240.0, 5.0


def wait(condition: Callable[[], bool], turn: Callable[[], object] = int, rest_s: float = 0.005,
         ) -> None:  # fmt: skip
    """Until something is so, after each `turn`; AssertionError where it never is."""
    end_s, own_end_s = time.monotonic() + WAIT_S, time.process_time() + OWN_S
    while True:
        turn()
        if condition():
            return
        late = time.monotonic() > end_s and time.process_time() > own_end_s
        assert not late, f"waited {WAIT_S:g} s in vain for: {_source(condition)}"
        time.sleep(rest_s)


def _source(condition: Callable[[], bool]) -> str:
    """A condition as it stands in the test, in one line."""
    try:
        return " ".join(inspect.getsource(condition).split())
    except (OSError, TypeError):
        return repr(condition)
