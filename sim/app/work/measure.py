"""The load of every frame and the ceiling, computed piece by piece beside the running picture."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from effects import Show
from effects.course import frame_count, span_s
from sim.app.state.ribbon import Load
from sim.app.work.worker import Alive
from sim.circuit import Loads, join
from sim.circuit.limits import limit_name, utilisation
from sim.frame import Rig
from sim.report.watched import Watched, watched_of
from sim.scan import blocks, ceiling, scan_of

#: How often what is done so far is told [s].
_TELL_S = 0.12


@dataclass(frozen=True, eq=False)
class MeasuredLoad:
    """The load of one side, so far."""

    side: str  # "left" or "right"
    load: Load


@dataclass(frozen=True, eq=False)
class WatchedSide:
    """A whole scheme on one side, ready to be asked about any part of the house."""

    side: str
    watched: Watched


@dataclass(frozen=True)
class FoundCeiling:
    """The ceiling, and what holds it there ("" where full brightness is fine)."""

    brightness: float
    limit: str


class _Dropped(Exception):
    """The work is no longer wanted."""


def measure(
    rigs: dict[str, Rig], show: Show, brightness: float, find_ceiling: bool, alive: Alive
) -> Iterator[MeasuredLoad | WatchedSide | FoundCeiling]:
    """The load on every side, with more frames each time; then the ceiling of the left side."""
    parts: list[Loads] = []
    for side, rig in rigs.items():
        parts = []
        for load in _loads(rig, show, brightness, parts):
            yield MeasuredLoad(side, load)
        seen = scan_of(rig, show, join(parts), show.fps, brightness)
        yield WatchedSide(side, watched_of(seen))
        if side == "left" and find_ceiling and rig.house.supplies:

            def progress(_done: float, _total: float) -> None:
                if not alive():
                    raise _Dropped

            try:
                highest = ceiling(seen, progress)
            except _Dropped:
                return
            if highest is not None:
                yield FoundCeiling(highest.brightness, highest.limit)


def _loads(rig: Rig, show: Show, brightness: float, parts: list[Loads]) -> Iterator[Load]:
    """The load of a scheme on a rig, with more frames each time; the blocks go to `parts`."""
    house, network = rig.house, rig.network
    frames = frame_count(span_s(show), show.fps)
    total_a, strained = np.full((2, frames), np.nan)
    supply_a = np.full((frames, len(house.supplies)), np.nan)
    rated_a = np.array([supply.rated_a for supply in house.supplies])
    names = tuple(supply.name for supply in house.supplies)
    worst, limit, done = 0.0, "", 0
    told_s = time.monotonic()
    for part in blocks(rig, show, frames, show.fps, brightness):
        parts.append(part)
        at = slice(done, done + len(part))
        done += len(part)
        if names:
            per_limit = utilisation(network, part)
            strained[at] = per_limit.max(axis=1)
            if per_limit.max() > worst:
                worst = float(per_limit.max())
                limit = limit_name(network, int(per_limit.max(axis=0).argmax()))
            supply_a[at], total_a[at] = part.supply_a, part.supply_a.sum(axis=1)
        else:
            strained[at], total_a[at] = 0.0, part.run_a.sum(axis=1)
        if time.monotonic() - told_s > _TELL_S or done == frames:
            told_s = time.monotonic()
            copies = total_a.copy(), supply_a.copy(), strained.copy()
            yield Load(*copies, limit, rated_a, names, show.fps)
