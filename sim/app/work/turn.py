"""The window's turns go first: what is measured beside them waits while one is drawn.

A priority of its own is not enough: a thread of low priority that holds the interpreter's lock and
has no core keeps the window's thread waiting as long as others have both. So measuring is done in
pieces of a few milliseconds, and none begins while a turn goes on.
"""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager

#: A turn that goes on for longer holds up nothing any more [s]: it waits for something itself.
MOST_S = 0.05
#: So long a thread may keep the interpreter's lock while another wants it [s]; Python's own 5 ms
#: are a third of a turn.
SWITCH_S = 0.001


class Turn:
    """Told by the window's thread when a turn begins and ends; asked by those that let it go first.

    Between two turns all who wait get to do a piece, however close upon each other the turns are.
    """

    def __init__(self) -> None:
        self._over = threading.Event()
        self._over.set()

    @contextmanager
    def taken(self) -> Iterator[None]:
        """While a turn goes on."""
        self._over.clear()
        try:
            yield
        finally:
            self._over.set()

    def give_way(self) -> None:
        """Wait for the end of the turn that goes on, if one does; at most `MOST_S`."""
        self._over.wait(MOST_S)


@contextmanager
def quick_switches() -> Iterator[None]:
    """While a window is open threads hand the interpreter's lock over sooner."""
    before = sys.getswitchinterval()
    sys.setswitchinterval(min(before, SWITCH_S))
    try:
        yield
    finally:
        sys.setswitchinterval(before)
