"""The next frame of a scheme that plays, made on a thread of its own while this one is drawn.

What comes out is what the window's thread would have made: the same function of the same values.
Only when it is made differs, so a picture may come a turn later than its time, never another.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from sim.app.state.shown import Shown
from sim.app.work.worker import Alive, Worker

#: A frame that is further from the one on show than the time between them says was jumped to [s].
SLACK_S = 0.5
#: How far making a frame stands back behind drawing the one before (`worker`): with two cores and
#: the kernels of a frame on both, a turn would else wait until one of them has had its time.
BEHIND = 5


class Ahead:
    """One frame being made or waiting to be shown; starts its thread when first asked."""

    def __init__(self) -> None:
        self._worker: Worker | None = None
        self._base: tuple[object, ...] = ()  # what the frames are made from, but for the time
        self._asked = False

    def ask(self, base: tuple[object, ...], frame: int, make: Callable[[], Shown]) -> None:
        """Make this frame next."""

        def job(_alive: Alive) -> Iterator[tuple[int, Shown]]:
            yield frame, make()

        if self._worker is None:
            self._worker = Worker("picture", nice=BEHIND)
        self._base, self._asked = base, True
        self._worker.submit(job)

    def take(self, base: tuple[object, ...]) -> tuple[int, Shown] | None:
        """The frame that is ready, with its number; None while there is none from the same base.

        What could not be made is as if it had not been asked for.
        """
        if self._worker is None or not self.pending(base):
            return None
        told = self._worker.drain()  # one thing at most
        if not told:
            return None
        self._asked = False
        found: tuple[int, Shown] | None = None if isinstance(told[0], Exception) else told[0]
        return found

    def pending(self, base: tuple[object, ...]) -> bool:
        """Whether a frame from this base is being made."""
        return self._asked and base == self._base

    def drop(self) -> None:
        """What is being made is not wanted any more."""
        self._asked, self._base = False, ()
        if self._worker is not None:
            self._worker.cancel()

    def close(self) -> bool:
        """End the thread; whether it ended at once."""
        return self._worker is None or self._worker.close()
