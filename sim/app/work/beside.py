"""One piece of work on a thread of its own, for whoever has another piece to do meanwhile."""

from __future__ import annotations

import threading
from collections.abc import Callable
from typing import TypeVar

T = TypeVar("T")


def beside(work: Callable[[], T]) -> Callable[[], T]:
    """Begin `work`; what comes back waits for its end and gives its result, or raises what it did.

    The thread is a daemon: it must not hold a closed window's process.
    """
    done: list[T] = []
    failed: list[BaseException] = []

    def run() -> None:
        try:
            done.append(work())
        except BaseException as error:
            failed.append(error)

    thread = threading.Thread(target=run, name="beside", daemon=True)
    thread.start()

    def result() -> T:
        thread.join()
        if failed:
            raise failed[0]
        return done[0]

    return result
