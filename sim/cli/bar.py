"""How far long work is, as a bar on stderr."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.progress import Progress as Bar

#: callback(done, total): what long work reports; any unit, as long as both share it.
Progress = Callable[[float, float], None]


@contextmanager
def progress(label: str, *, after_s: float = 1.0) -> Iterator[Progress]:
    """A bar on stderr for work longer than `after_s` [s]; yields callback(done, total).

    Nothing is drawn where stderr is no terminal. The callback may be called from any thread.
    """
    bar, task = None, None
    began, lock = time.monotonic(), threading.Lock()
    shown = sys.stderr is not None and sys.stderr.isatty()

    def report(done: float, total: float) -> None:
        nonlocal bar, task
        with lock:
            if bar is None and shown and time.monotonic() - began > after_s:
                bar = _bar(label)
                task = bar.add_task(label, total=None)
                bar.start()
            if bar is not None and task is not None:
                bar.update(task, completed=done, total=total)

    try:
        yield report
    finally:
        if bar is not None:
            bar.stop()


def _bar(label: str) -> Bar:
    from rich.progress import BarColumn, Progress, TextColumn, TimeRemainingColumn

    from sim.cli.common import stderr

    return Progress(
        TextColumn(label),
        BarColumn(),
        TextColumn("{task.percentage:>3.0f} %"),
        TimeRemainingColumn(),
        console=stderr(),
        transient=True,
    )
