"""A verb that is asked to end from outside leaves nothing half written, and says so by its status.

Ctrl-C, a request to end (SIGTERM) and a terminal that is gone (SIGHUP) all unwind the work as an
exception; the status is 128 and the signal's number, as shells have it.
"""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable
from types import FrameType
from typing import Any

#: What ends a verb, where the system knows it.
STOPS = tuple(
    getattr(signal, name) for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)
)


class Ended(KeyboardInterrupt):
    """A request to end other than Ctrl-C; whoever tidies up after that tidies up after this."""

    def __init__(self, number: int):
        super().__init__(signal.strsignal(number))
        self.number = number


def status_of(stop: KeyboardInterrupt) -> int:
    """The exit status of a verb that was stopped."""
    return 128 + int(getattr(stop, "number", signal.SIGINT))


def heed() -> None:
    """Have requests to end raise Ended. Who had them ignored, as nohup does, is not ended."""
    for number in STOPS[1:]:
        if signal.getsignal(number) == signal.SIG_DFL:
            signal.signal(number, _end)


def at_once_while(busy: Callable[[], bool], say: Callable[[str], None]) -> None:
    """While `busy`, where nothing can be interrupted, what ends a verb ends it there and then."""
    if threading.current_thread() is not threading.main_thread():
        return
    for number in STOPS:
        usual: Any = signal.getsignal(number)
        if not callable(usual):
            continue

        def stop(number: int, frame: FrameType | None, usual: Any = usual) -> None:
            if busy():
                say("stopped")
                os._exit(128 + number)
            usual(number, frame)

        signal.signal(number, stop)


def _end(number: int, frame: FrameType | None) -> None:
    for each in STOPS[1:]:
        signal.signal(each, signal.SIG_IGN)  # a second one would disturb the tidying up
    raise Ended(number)
