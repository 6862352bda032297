"""The load of every frame and the ceiling, computed piece by piece beside the running picture."""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from effects import Show, asked
from sim.app.model import span_s
from sim.app.ribbon import Load
from sim.app.worker import Alive
from sim.circuit import loads
from sim.circuit.limits import limited, strain
from sim.colour import codes
from sim.frame import Rig
from sim.scan import ceiling, scan

#: A piece holds about this many pixels over all its frames: some 30 ms of work.
_PIECE_PIXELS = 1 << 16
#: How often what is done so far is told [s].
_TELL_S = 0.12


@dataclass(frozen=True, eq=False)
class Measured:
    """The load of one side, so far."""

    side: str  # "left" or "right"
    load: Load


@dataclass(frozen=True)
class Found:
    """The ceiling, and what holds it there ("" where full brightness is fine)."""

    brightness: float
    limit: str


class _Dropped(Exception):
    """The work is no longer wanted."""


def measure(
    rigs: dict[str, Rig], show: Show, brightness: float, find_ceiling: bool, alive: Alive
) -> Iterator[Measured | Found]:
    """The load on every side, with more frames each time; then the ceiling of the left side."""
    for side, rig in rigs.items():
        for load in _loads(rig, show, brightness):
            yield Measured(side, load)
    if find_ceiling and rigs["left"].house.supplies:

        def progress(_done: float, _total: float) -> None:
            if not alive():
                raise _Dropped

        try:
            watched = scan(rigs["left"], show, brightness=brightness, progress=progress)
            highest = ceiling(watched, progress)
        except _Dropped:
            return
        yield Found(highest.brightness, highest.limit)


def _loads(rig: Rig, show: Show, brightness: float) -> Iterator[Load]:
    """The load of a scheme on a rig, with more frames computed each time it yields."""
    fps, house = show.fps, rig.house
    frames = max(1, round(span_s(show) * fps))
    size = max(1, _PIECE_PIXELS // max(len(house.pixels), 1))
    total_a, strained = np.full((2, frames), np.nan)
    supply_a = np.full((frames, len(house.supplies)), np.nan)
    rated_a = np.array([supply.rated_a for supply in house.supplies])
    names = tuple(supply.name for supply in house.supplies)
    worst, limit = 0.0, ""
    told_s = time.monotonic()
    for first in range(0, frames, size):
        at = np.arange(first, min(first + size, frames))
        numbers = at if show.scheme.dither else None
        part = loads(rig.network, codes(rig.mixer, asked(show, at / fps), brightness, numbers))
        if names:
            per_limit = strain(rig.network, part)
            strained[at] = per_limit.max(axis=1)
            if per_limit.max() > worst:
                worst = float(per_limit.max())
                limit = limited(rig.network, int(per_limit.max(axis=0).argmax()))
            supply_a[at], total_a[at] = part.supply_a, part.supply_a.sum(axis=1)
        else:
            strained[at], total_a[at] = 0.0, part.run_a.sum(axis=1)
        if time.monotonic() - told_s > _TELL_S or at[-1] == frames - 1:
            told_s = time.monotonic()
            yield Load(total_a.copy(), supply_a.copy(), strained.copy(), limit, rated_a, names, fps)
