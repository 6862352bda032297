"""One thread that does the slow work, newest request first, and tells what it has so far."""

from __future__ import annotations

import os
import queue
import threading
from collections.abc import Callable, Iterator
from contextlib import suppress
from typing import Any

#: The niceness of what nobody waits for.
LOW = 10
#: Tells whether the work is still wanted.
Alive = Callable[[], bool]
#: Work in pieces: it may be dropped for newer work wherever it yields, or looks whether it lives.
Job = Callable[[Alive], Iterator[Any]]


class Worker:
    """Runs one job at a time; a newer one takes the place of the older between two pieces."""

    def __init__(self, name: str, low: bool = False, nice: int = 0):
        """`nice` is how far the thread stands back behind the window's own, where the system has
        such a thing for threads (Linux); `low` is `LOW`."""
        self.results: queue.SimpleQueue[tuple[int, Any]] = queue.SimpleQueue()
        self._next: tuple[int, Job] | None = None
        self._newest = 0
        self._busy = False
        self._closing = False
        self._wake = threading.Condition()
        # A daemon: a piece of work that still runs must not hold a closed window's process.
        self._thread = threading.Thread(
            target=self._run, args=(LOW if low else nice,), name=name, daemon=True
        )
        self._thread.start()

    def submit(self, job: Job) -> None:
        """Do this instead of whatever was asked before."""
        with self._wake:
            self._newest += 1
            self._next = (self._newest, job)
            self._wake.notify()

    def cancel(self) -> None:
        """Drop what is being done."""
        with self._wake:
            self._newest += 1
            self._next = None

    @property
    def idle(self) -> bool:
        """Whether nothing is being done or waiting."""
        with self._wake:
            return self._next is None and not self._busy

    def drain(self) -> list[Any]:
        """What the newest job has told since the last call; older jobs' words are dropped."""
        found = []
        with suppress(queue.Empty):
            while True:
                number, result = self.results.get_nowait()
                if number == self._newest:
                    found.append(result)
        return found

    def close(self, wait_s: float = 0.5) -> bool:
        """End the thread; False where a piece of work outlasts `wait_s`."""
        with self._wake:
            self._closing = True
            self._newest += 1
            self._wake.notify()
        self._thread.join(wait_s)
        return not self._thread.is_alive()

    def _alive(self, number: int) -> Alive:
        return lambda: number == self._newest

    def _run(self, nice: int) -> None:
        if nice and hasattr(os, "setpriority"):
            # On Linux a thread has a priority of its own, and gives it to those that it starts.
            with suppress(OSError, AttributeError):
                own = os.getpriority(os.PRIO_PROCESS, threading.get_native_id())
                os.setpriority(os.PRIO_PROCESS, threading.get_native_id(), own + nice)
        while True:
            with self._wake:
                self._busy = False
                while self._next is None and not self._closing:
                    self._wake.wait()
                if self._closing or self._next is None:
                    return
                number, job = self._next
                self._next, self._busy = None, True
            try:
                for result in job(self._alive(number)):
                    self.results.put((number, result))
                    if number != self._newest:
                        break
            except Exception as error:
                self.results.put((number, error))
