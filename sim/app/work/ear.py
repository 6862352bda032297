"""Listening on a thread of its own: what is told waits for the window, the newest codes too."""

from __future__ import annotations

import queue
import threading
from collections.abc import Callable, Iterator

import numpy as np

from sim.report.listen import LiveSecond
from sim.report.listen_loop import is_dangerous

#: The turns of listening: called with `turn_s`, `seen` and `alive`.
Turns = Callable[..., Iterator[LiveSecond]]
#: How often the inbox is emptied for a picture [s].
TURN_S = 0.02


class Ear:
    """Runs the turns until it is closed or they end."""

    def __init__(self, turns: Turns):
        self.codes: tuple[int, np.ndarray] | None = None  # a number, and the newest (N, C)
        self.dangerous = False
        self._told: queue.SimpleQueue[LiveSecond | Exception] = queue.SimpleQueue()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._listen, args=(turns,), name="ear", daemon=True)
        self._thread.start()

    @property
    def ended(self) -> bool:
        """Whether the turns are over."""
        return not self._thread.is_alive()

    def drain(self) -> Iterator[LiveSecond | Exception]:
        """What was told since the last time."""
        while not self._told.empty():
            yield self._told.get()

    def close(self) -> None:
        """End the turns, and wait until they are over."""
        self._stop.set()
        self._thread.join()

    def _seen(self, codes: np.ndarray) -> None:
        self.codes = ((self.codes[0] if self.codes else 0) + 1, codes)

    def _listen(self, turns: Turns) -> None:
        try:
            for second in turns(
                turn_s=TURN_S, seen=self._seen, alive=lambda: not self._stop.is_set()
            ):
                self.dangerous |= is_dangerous(second)
                self._told.put(second)
        except Exception as error:  # told in the window, which goes on with what it has
            self._told.put(error)
