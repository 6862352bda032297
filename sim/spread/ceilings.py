"""The ceiling of every draw: the highest brightness at which nothing exceeds its limit.

Brightness is tried on a grid of 1/256, as fine as the codes; where a limit is passed between two
of its steps is taken straight between them.
"""

from __future__ import annotations

import numpy as np

from .draws import Draws
from .frames import ShownFrames
from .trials import of_draws

_STEPS = 256


class Levels:
    """The codes of the frames near limits by step of brightness, made when they are asked for."""

    def __init__(self, frames: ShownFrames):
        self._frames = frames
        self._made: dict[int, np.ndarray] = {}

    def codes(self, steps: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """(C, N, 4) codes, and (D, P) which of them are those of each of `steps` (D,)."""
        distinct = np.unique(steps)
        for step in distinct.tolist():
            if step not in self._made:
                self._made[step] = self._frames.codes_at(step / _STEPS)
        frames = len(self._frames.worst)
        at = np.searchsorted(distinct, steps)[:, None] * frames + np.arange(frames)
        return np.concatenate([self._made[step] for step in distinct.tolist()]), at


def ceilings(frames: ShownFrames, drawn: Draws, levels: Levels) -> np.ndarray:
    """(D,) the ceiling of each draw, 0..1, in the frames that come nearest to a limit."""
    network, load = frames.watched.rig.network, frames.supply_load

    def used(which: np.ndarray, steps: np.ndarray) -> np.ndarray:
        codes, at = levels.codes(steps)
        if not steps.any():
            at = at[:, :1]  # a dark house is the same in all frames
        part = Draws(drawn.unknowns, drawn.seed, 0, drawn.common[which], drawn.current_each[which])
        found = of_draws(network, part, codes, at, supply_load=load)
        # The step where colour is lost is smoothed, so that what lies between can be guessed.
        return np.asarray(np.maximum(found.used.max(axis=(1, 2)), 0.0))

    count = len(drawn)
    low, high = np.zeros(count, dtype=np.int64), np.full(count, _STEPS, dtype=np.int64)
    everyone = np.arange(count)
    # Some faults show in the dark alone, as in `sim.circuit.ceiling`.
    at_low, at_high = used(everyone, low), used(everyone, high)
    out = np.where(at_low > 1, 0.0, 1.0)
    open_ = np.flatnonzero((at_low <= 1) & (at_high > 1))
    turn = 0
    while len(active := open_[high[open_] - low[open_] > 1]):
        # Two guesses by straight lines, then one by halves, which bounds their number.
        span = high[active] - low[active]
        rise = np.where(np.isfinite(at_high[active]), at_high[active] - at_low[active], np.inf)
        part = np.where(turn % 3 == 2, 0.5, (1 - at_low[active]) / rise)
        step = low[active] + np.clip((part * span).astype(np.int64), 1, span - 1)
        here = used(active, step)
        past = here > 1
        high[active[past]], at_high[active[past]] = step[past], here[past]
        low[active[~past]], at_low[active[~past]] = step[~past], here[~past]
        turn += 1
    rise = np.maximum(at_high[open_] - at_low[open_], 1e-12)
    part = np.clip((1 - at_low[open_]) / rise, 0.0, 1.0)
    out[open_] = (low[open_] + part) / _STEPS
    return out
