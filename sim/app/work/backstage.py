"""What goes on beside the picture: files watched, stages made, loads measured.

Three threads: one makes stages, one works out feeds, one of lower priority measures loads.
Everything they tell comes back through `follow`, on the thread of the window.
"""

from __future__ import annotations

import time
from collections.abc import Iterator

from effects import Show
from layouts import EvenfallError
from sim.app.state.actions import Action, CeilingMeasured, Failed
from sim.app.state.record import State
from sim.app.state.ribbon import Load
from sim.app.state.shown import Stage
from sim.app.work.guard import in_words, write_down
from sim.app.work.measure import FoundCeiling, MeasuredLoad, WatchedSide, measure
from sim.app.work.planner import Planner
from sim.app.work.stage import Maker, StageWanted, refusal, wanted
from sim.app.work.watch import Stamp, Watch, stamp
from sim.app.work.worker import Worker
from sim.report.watched import Watched

#: A load is computed anew once what it depends on has been at rest for this long [s].
REST_S = 0.15


class Backstage:
    """Owns the threads; `stage`, `loads` and `watched` are the newest that they have made."""

    def __init__(self) -> None:
        self.stage: Stage | None = None
        self.loads: dict[str, Load] = {}
        self.watched: dict[str, Watched] = {}
        self._maker, self._watch = Maker(), Watch()
        self._makes, self._measures = Worker("stage"), Worker("load", low=True)
        self._planner = Planner()
        self._stamp: Stamp | None = None
        self._wanted: StageWanted | None = None
        self._newest: StageWanted | None = None
        self._measured: tuple[object, ...] = ()
        self._ceiling_of: tuple[object, ...] = ()
        self._measure_at_s: float | None = None

    @property
    def idle(self) -> bool:
        """Whether nothing is being made or measured, or is about to be."""
        at_rest = self._makes.idle and self._measures.idle and self._measure_at_s is None
        return at_rest and self._planner.idle

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
            wired = self._planner.house(asked.proposal[0]) if asked.proposal else None
            held = asked.held is not None
            self._makes.submit(
                lambda alive: self._held(asked) if held else self._maker.stage(asked, wired)
            )
        told: list[Action] = []
        for result in ready + self._makes.drain():
            if isinstance(result, Stage):
                self.stage = result
            elif isinstance(result, Exception):
                told.append(_refused(result, state, "reading the files"))
            else:
                told.append(result)
        for result in self._measures.drain():
            if isinstance(result, MeasuredLoad):
                self.loads[result.side] = result.load
            elif isinstance(result, WatchedSide):
                self.watched[result.side] = result.watched
            elif isinstance(result, FoundCeiling):
                told.append(CeilingMeasured(result.brightness, result.limit))
            else:
                told.append(_refused(result, state, "computing the load"))
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
        """Compute the load anew once what it depends on has come to rest."""
        if stage.held:  # the next one is on its way
            self._measure_at_s = None
            return []
        rigs = {"left": stage.left.rig} | ({"right": stage.right.rig} if stage.right else {})
        bright = show.scheme.brightness if stage.plain else state.shown_brightness
        of_ceiling = (stage.left.rig, show)
        key = (show, *rigs.values(), bright)
        now_s = time.monotonic()
        told: list[Action] = []
        if key != self._measured:
            self._measured, self._measure_at_s = key, now_s + REST_S
            if of_ceiling != self._ceiling_of and state.ceiling is not None:
                told.append(CeilingMeasured(None))
        if self._measure_at_s is not None and now_s >= self._measure_at_s:
            self._measure_at_s = None
            if "right" not in rigs:
                self.loads.pop("right", None)
            seek = of_ceiling != self._ceiling_of or state.ceiling is None
            self._ceiling_of = of_ceiling
            self._measures.submit(lambda alive: measure(rigs, show, bright, seek, alive))
        return told

    def close(self) -> bool:
        """End the threads; whether all ended at once."""
        return all([self._makes.close(), self._measures.close(), self._planner.close()])


def _refused(error: Exception, state: State, name: str) -> Action:
    """What a house or scheme that cannot be computed is told as; anything else is a fault."""
    if isinstance(error, EvenfallError):
        return refusal(error, state.house_path)
    write_down(name, error)
    return Failed(in_words(name, error))


def _files(state: State) -> tuple[str | None, str | None]:
    return state.house_path, state.scheme_path
