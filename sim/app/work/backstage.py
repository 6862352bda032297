"""What goes on beside the picture: files watched, stages made, loads measured.

One thread makes stages, one works out feeds, two of lower priority measure loads (`load_desk`).
Everything they tell comes back through `follow`, on the thread of the window.
"""

from __future__ import annotations

import time
from collections.abc import Iterator

from effects import Show
from layouts import EvenfallError
from sim.app.state.actions import Action, Failed, Loaded, Refused
from sim.app.state.record import State
from sim.app.state.ribbon import Load
from sim.app.state.shown import Stage
from sim.app.work.guard import in_words, write_down
from sim.app.work.load_desk import LoadDesk
from sim.app.work.planner import Planner
from sim.app.work.stage import Maker, StageWanted, refusal, wanted
from sim.app.work.turn import Turn
from sim.app.work.watch import Stamp, Watch, stamp
from sim.app.work.worker import Worker
from sim.report.watched import Watched


class Backstage:
    """Owns the threads; `stage`, `loads` and `watched` are the newest that they have made."""

    def __init__(self) -> None:
        self.stage: Stage | None = None
        self.coarse: Stage | None = None  # what is shown until there is one
        self._maker, self._watch = Maker(), Watch()
        self.turn = Turn()  # taken by the window's thread
        self._makes, self.desk = Worker("stage"), LoadDesk(self.turn)
        self._planner = Planner()
        self._stamp: Stamp | None = None
        self._wanted: StageWanted | None = None
        self._newest: StageWanted | None = None

    @property
    def loads(self) -> dict[str, Load]:
        """The newest curves, by side."""
        return self.desk.loads

    @property
    def watched(self) -> dict[str, Watched]:
        """What the whole scheme on show asks of every part, by side, once it is measured."""
        return self.desk.watched

    @property
    def idle(self) -> bool:
        """Whether nothing is being made or measured, or is about to be."""
        return self._makes.idle and self.desk.idle and self._planner.idle

    @property
    def made_all(self) -> bool:
        """Whether every stage that was asked for is made."""
        return self._makes.idle

    @property
    def pictures_must_wait(self) -> bool:
        """Whether a picture now would run into a scene that is being made.

        Both are parallel kernels; of the layers numba can run those on, `workqueue` alone cannot
        be entered by two threads at once.
        """
        if self._makes.idle:
            return False
        import numba

        try:
            return bool(numba.threading_layer() == "workqueue")
        except ValueError:  # none has run yet
            return False

    def begin_coarse(self) -> None:
        """Have a coarse picture before the first; to be said before anything is followed."""
        self._maker.coarse_first = True

    def reread(self, state: State) -> None:
        """Read the files anew without waiting for the watch."""
        self._stamp = stamp(_files(state))

    def write_feeds(self, number: int) -> str:
        """Put the feeds proposed for an asking into the house file; raises like `Planner.write`."""
        return self._planner.write(number)

    def follow(self, state: State) -> list[Action]:
        """Ask for what the state needs, and take what is ready."""
        if self._stamp is None or self._watch.changed(_files(state), time.monotonic()):
            self.reread(state)
        assert self._stamp is not None
        if lost := self._planner.lost(state, self._stamp[:1]):
            return lost  # before anything is made of the new file with the old one's feeds
        asked = wanted(state, self._stamp)
        # While something is held every turn asks for more: each picture is finished first.
        waits = asked.held is not None and not self._makes.idle
        self._newest = asked
        ready = self._makes.drain() if asked.held is not None and not waits else []
        if asked != self._wanted and not waits:
            self._wanted = asked
            wired = self._planner.wired(asked.proposal[0]) if asked.proposal else None
            held = asked.held is not None
            self._makes.submit(
                lambda alive: self._held(asked) if held else self._maker.stage(asked, wired)
            )
        told: list[Action] = []
        for result in ready + self._makes.drain():
            if isinstance(result, Stage) and result.coarse:
                self.coarse = result
            elif isinstance(result, Stage):
                self.stage, self.coarse = result, None
            elif isinstance(result, Exception):
                told.append(_refused(result, state, "reading the files"))
            else:
                if isinstance(result, Loaded | Refused):
                    self._maker.heard(result)
                told.append(result)
        measured, failed = self.desk.taken()
        told += measured
        told += [_refused(error, state, "computing the load") for error in failed]
        return told + self._planner.follow(state, self.stage, self._stamp[:1])

    def _held(self, asked: StageWanted) -> Iterator[Action | Stage]:
        """Stage after stage of what is held, each for where it is by then; on the stage's thread.

        Asked for one by one, each would wait for a turn of the window.
        """
        while True:
            yield from self._maker.stage(asked)
            newer = self._newest
            if newer is None or newer is asked or newer == asked or newer.held is None:
                return
            asked = newer

    def measure(self, state: State, stage: Stage, show: Show) -> list[Action]:
        """Have the loads of what is on show: kept ones at once, others once it has come to rest."""
        return self.desk.follow(state, stage, show)

    def close(self) -> bool:
        """End the threads; whether all ended at once."""
        return all([self._makes.close(), self.desk.close(), self._planner.close()])


def _refused(error: Exception, state: State, name: str) -> Action:
    """What a house or scheme that cannot be computed is told as; anything else is a fault."""
    if isinstance(error, EvenfallError):
        return refusal(error, state.house_path)
    write_down(name, error)
    return Failed(in_words(name, error))


def _files(state: State) -> tuple[str | None, str | None]:
    return state.house_path, state.scheme_path
