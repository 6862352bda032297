"""The load of every frame and the ceiling, computed piece by piece beside the running picture."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from effects import Show, asked
from sim.app.model import span_s
from sim.app.ribbon import Load
from sim.circuit import loads
from sim.colour import codes
from sim.frame import Rig

#: A piece holds about this many pixels over all its frames: some 30 ms of work.
_PIECE_PIXELS = 1 << 16


def measure(rig: Rig, show: Show, brightness: float) -> Iterator[Load]:
    """The load of a scheme on a rig, with more frames computed each time it yields."""
    fps = show.fps
    frames = max(1, round(span_s(show) * fps))
    house = rig.house
    size = max(1, _PIECE_PIXELS // max(len(house.pixels), 1))
    total_a = np.full(frames, np.nan)
    supply_a = np.full((frames, len(house.supplies)), np.nan)
    rated_a = np.array([supply.rated_a for supply in house.supplies])
    names = tuple(supply.name for supply in house.supplies)
    for first in range(0, frames, size):
        at = np.arange(first, min(first + size, frames))
        part = loads(rig.network, codes(rig.mixer, asked(show, at / fps), brightness))
        supply_a[at] = part.supply_a
        total_a[at] = part.supply_a.sum(axis=1) if len(names) else part.run_a.sum(axis=1)
        yield Load(total_a.copy(), supply_a.copy(), rated_a, names, fps)
