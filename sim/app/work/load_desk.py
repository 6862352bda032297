"""Loads measured beside the picture, and kept: nothing that is known is measured again.

A curve depends on house, kind, colour, white use, gamma, scheme and brightness. Another size of the
window, hour, exposure, drawer or overlay changes none of them. Two threads of low priority: one
measures whole curves, one works out single instants. All else is on the window's thread.
"""

from __future__ import annotations

import time
from dataclasses import replace

from effects import Show
from sim.app.state.actions import Action, CeilingMeasured
from sim.app.state.mending import broken_now
from sim.app.state.record import State
from sim.app.state.ribbon import Load, merged
from sim.app.state.ribbon_actions import InstantFound, MarksFound
from sim.app.state.ribbon_marks import marks_of
from sim.app.state.ribbon_view import LayerShares
from sim.app.state.shown import Stage
from sim.app.work.instant import instant
from sim.app.work.kept_loads import KeptLoads
from sim.app.work.load_keys import LoadKey, LoadKeys
from sim.app.work.measure import MeasuredLoad, blank, measure
from sim.app.work.peak_bands import PeakBands
from sim.app.work.turn import Turn
from sim.app.work.worker import Worker
from sim.frame import Rig
from sim.report.watched import Watched

#: A load is computed anew once what it depends on has been at rest for this long [s].
REST_S = 0.15


class LoadDesk:
    """`loads` and `watched` are the newest, by side; `begun` counts measurements."""

    def __init__(self, turn: Turn | None = None) -> None:
        self.loads: dict[str, Load] = {}
        self.watched: dict[str, Watched] = {}
        self.begun = 0
        self._turn = turn or Turn()
        self.kept = KeptLoads()
        self._keys = LoadKeys()
        self._bands = PeakBands(self.kept)
        self._measures, self._instants = Worker("load", low=True), Worker("instant", low=True)
        self._on_show: dict[str, LoadKey] = {}
        self._about: dict[LoadKey, Load] = {}  # what is known of a curve that is being computed
        self._running: frozenset[object] = frozenset()
        self._failed: frozenset[object] = frozenset()
        self._needed: frozenset[object] = frozenset()
        self._at_s: float | None = None
        self._faults: list[Exception] = []
        self._marked: Load | None = None
        self._instant: tuple[LoadKey, int] | None = None

    @property
    def idle(self) -> bool:
        """Whether nothing is being measured, or is about to be."""
        workers = (self._measures, self._instants, self._bands)
        return self._at_s is None and all(each.idle for each in workers)

    def taken(self) -> tuple[list[Action], list[Exception]]:
        """What the threads have told since: what the state should hear, and what failed."""
        told: list[Action] = []
        failed, self._faults = self._faults, []
        for result in self._measures.drain():
            if isinstance(result, MeasuredLoad):
                self._put(result.key, result.load)
            else:
                failed.append(result)
                self._failed = self._running
        for result in self._instants.drain():
            if isinstance(result, LayerShares):
                told.append(InstantFound(result))
            else:
                failed.append(result)
        return told, failed

    def follow(self, state: State, stage: Stage, show: Show) -> list[Action]:
        """Have on `loads` what is known of the stage on show, and measure what is not once it has
        come to rest."""
        if stage.held:  # the next one is on its way
            self._at_s = None
            return []
        faults = broken_now(state)
        rigs = {"left": stage.left.rig} | ({"right": stage.right.rig} if stage.right else {})
        bright = show.scheme.brightness if stage.plain else state.shown_brightness
        sound = {side: self._keys.key(rig, show, bright) for side, rig in rigs.items()}
        keys = {side: key.broken(faults) for side, key in sound.items()}
        if keys != self._on_show:
            self._show(keys, rigs, show)
        self._take_kept(keys, sound)
        told = self._ceiling(state, keys["left"])
        self._seek(keys, sound, rigs, show)
        self._faults += self._bands.follow(sound["left"])
        self._ask(state, keys["left"], rigs["left"], show)
        load = self.loads["left"]
        if load is not self._marked:
            self._marked, marks = load, marks_of(load)
            if marks != state.ribbon.marks:
                told.append(MarksFound(marks))
        return told

    def pause(self) -> None:
        """Nothing is on show that could be measured: it has to come to rest anew."""
        self._at_s = None

    def close(self) -> bool:
        """End the threads; whether all ended at once."""
        return all([self._measures.close(), self._instants.close(), self._bands.close()])

    # --- what is known ---

    def _show(self, keys: dict[str, LoadKey], rigs: dict[str, Rig], show: Show) -> None:
        """Other curves are on show: what is kept of them, what is about right, or nothing yet."""
        before, self._on_show = self._on_show, keys
        self._failed = frozenset()
        if "right" not in keys:
            self.loads.pop("right", None)
        self.watched.clear()
        for side, key in keys.items():
            if before.get(side) == key:
                continue
            whole = self.kept.load(key)
            if whole is None:
                about = self.kept.about(key)
                if about is not None:
                    self._about[key] = about
                whole = about or blank(rigs[side], show, key.brightness)
            self._put_on(side, key, whole)
        shown = set(keys.values())
        self._about = {key: load for key, load in self._about.items() if key in shown}

    def _take_kept(self, keys: dict[str, LoadKey], sound: dict[str, LoadKey]) -> None:
        """Show what is kept by now, whether or not its thread was heard to the end.

        What the whole scheme asks of every part is that of the sound house.
        """
        for side, key in keys.items():
            if not self.loads[side].whole and (whole := self.kept.load(key)) is not None:
                self._put_on(side, key, whole)
            found = self.kept.watched(sound[side]) if side not in self.watched else None
            if found is not None:
                self.watched[side] = found

    def _put(self, key: LoadKey, load: Load) -> None:
        """A curve has more frames; one that is whole already stays as it is."""
        if key in self.kept and not load.whole:
            return
        for side, shown in self._on_show.items():
            if shown == key:
                self._put_on(side, key, merged(load, self._about.get(key)))

    def _put_on(self, side: str, key: LoadKey, load: Load) -> None:
        # the ceiling is the sound house's: it says nothing of what a broken one draws
        faults = key.family.faults
        found, broken = None if faults else self.kept.ceiling(key.family), len(faults)
        same = load.ceiling == found and load.broken == broken
        self.loads[side] = load if same else replace(load, ceiling=found, broken=broken)

    def _ceiling(self, state: State, left: LoadKey) -> list[Action]:
        """Tell the state the ceiling of the sound house as it is known now."""
        found = self.kept.ceiling(left.broken(()).family)
        if not left.family.faults and self.loads["left"].ceiling != found:
            self._put_on("left", left, self.loads["left"])
        wanted = (None, "") if found is None else (found.brightness, found.held_by)
        if wanted == (state.ceiling, state.ceiling_limit if found else ""):
            return []
        return [CeilingMeasured(*wanted)]

    # --- what is not ---

    def _seek(
        self, keys: dict[str, LoadKey], sound: dict[str, LoadKey], rigs: dict[str, Rig], show: Show
    ) -> None:
        """Measure what is not known: what is on show first, then the sound house."""
        left = sound["left"]
        missing = {
            key: rigs[side]
            for each in (keys, sound)
            for side, key in each.items()
            if not self.kept.knows_all(key)
        }
        seek = bool(rigs["left"].house.supplies) and not self.kept.has_ceiling(left.family)
        if seek and left not in missing:  # the search begins with what is drawn
            first = {left: rigs["left"]}
            missing = {**missing, **first} if keys["left"] != left else {**first, **missing}
        needed: frozenset[object] = frozenset(missing) | ({left.family} if seek else frozenset())
        busy = not self._measures.idle
        if not needed:
            if busy:
                self._measures.cancel()
            self._at_s, self._needed, self._running = None, needed, frozenset()
            return
        curves = frozenset(key for key in missing if key not in self.kept)
        on_show = frozenset(key for key in keys.values() if key.family.faults) & curves
        goes_on = busy and bool(self._running & (on_show or curves or needed))
        if goes_on or needed == self._failed:
            self._at_s = None
            return
        now_s = time.monotonic()
        if self._at_s is None or needed != self._needed:
            self._needed, self._at_s = needed, now_s + REST_S
        if now_s < self._at_s:
            return
        self._at_s, self._running = None, needed
        self.begun += 1
        kept, of, pause = self.kept, left if seek else None, self._turn.give_way
        self._measures.submit(lambda alive: measure(missing, show, of, kept, alive, pause))

    def _ask(self, state: State, key: LoadKey, rig: Rig, show: Show) -> None:
        """Work out the instant under the pointer."""
        hover_s = state.ribbon.hover_s
        # what a layer asks is worked out for the sound house alone
        known = hover_s is not None and not key.family.faults
        wish = (key, round(hover_s * show.fps)) if known and hover_s is not None else None
        if wish == self._instant:
            return
        self._instant = wish
        if wish is None:
            self._instants.cancel()
            return
        frame, bright = wish[1], key.brightness
        self._instants.submit(lambda _: iter([instant(rig, show, frame, bright)]))
