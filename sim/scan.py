"""Frame quantities over a whole scheme, streamed in blocks.

Effect, colour, codes, volts and amperes of every frame are computed and dropped again; what stays
is a few numbers a frame (`sim.circuit.Loads`) and what they say of every supply, wire and run.
Two blocks are worked on at a time.
"""

from __future__ import annotations

import os
from collections import deque
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np

from effects import Show, asked
from sim.circuit import (
    Energy,
    Loads,
    RunUse,
    SupplyUse,
    WireUse,
    energy,
    join,
    loads,
    run_uses,
    supply_uses,
    wire_uses,
)
from sim.colour import codes
from sim.frame import Rig

#: How long an aperiodic scheme is watched.
DEFAULT_SECONDS = 600.0
#: A block holds about this many pixels over all its frames; it fits the caches of one core.
_BLOCK_PIXELS = 1 << 17

Progress = Callable[[float, float], None]


@dataclass(frozen=True, eq=False)
class Scan:
    """A scheme watched frame by frame: T frames of a house."""

    rig: Rig
    show: Show
    brightness: float
    fps: float
    whole_period: bool  # True: exactly one period, so nothing was missed
    loads: Loads
    supplies: tuple[SupplyUse, ...]
    wires: tuple[WireUse, ...]
    runs: tuple[RunUse, ...]
    energy: Energy

    @property
    def frames(self) -> int:
        """T."""
        return len(self.loads)

    @property
    def seconds(self) -> float:
        """How much of the scheme was watched [s]."""
        return self.frames / self.fps

    @property
    def time_s(self) -> np.ndarray:
        """(T,) [s] of each frame."""
        return np.arange(self.frames) / self.fps


def scan(
    rig: Rig,
    show: Show,
    *,
    seconds: float | None = None,
    fps: float | None = None,
    brightness: float | None = None,
    progress: Progress | None = None,
) -> Scan:
    """Watch `show`: one period where it has one, else `seconds` (600 when left out).

    `fps` and `brightness` replace the scheme's own. `progress(done, total)` counts frames.
    """
    rate = show.fps if fps is None else fps
    level = show.scheme.brightness if brightness is None else brightness
    whole = seconds is None and show.period_s is not None
    span = (show.period_s if whole else seconds) or DEFAULT_SECONDS
    frames = max(1, round(span * rate))
    parts = []
    for part in _blocks(rig, show, frames, rate, level):
        parts.append(part)
        if progress:
            progress(sum(len(done) for done in parts), frames)
    watched = join(parts)
    dark = loads(rig.network, np.zeros((1, len(rig.house.pixels), 4), dtype=np.uint8))
    return Scan(
        rig=rig,
        show=show,
        brightness=level,
        fps=rate,
        whole_period=whole,
        loads=watched,
        supplies=supply_uses(rig.network, watched),
        wires=wire_uses(rig.network, watched),
        runs=run_uses(rig.network, watched),
        energy=energy(rig.network, watched, dark),
    )


def _blocks(rig: Rig, show: Show, frames: int, fps: float, brightness: float) -> Iterator[Loads]:
    """The loads of `frames` frames, block after block, in order."""
    size = max(1, _BLOCK_PIXELS // len(rig.house.pixels))

    def work(first: int) -> Loads:
        time_s = np.arange(first, min(first + size, frames)) / fps
        return loads(rig.network, codes(rig.mixer, asked(show, time_s), brightness))

    # Two are enough to keep both halves of a small machine busy; a short queue bounds memory and
    # lets an interrupt end after the blocks in hand.
    workers = min(2, os.cpu_count() or 1)
    waiting: deque[Future[Loads]] = deque()
    with ThreadPoolExecutor(workers) as pool:
        try:
            for first in range(0, frames, size):
                waiting.append(pool.submit(work, first))
                if len(waiting) > workers:
                    yield waiting.popleft().result()
            while waiting:
                yield waiting.popleft().result()
        finally:
            for future in waiting:
                future.cancel()
