"""The load a plan is made for: the frames that could come nearest to a limit.

Where nothing is wired yet no circuit can say which frames matter. What a feed sees is the sum of
what some neighbouring pixels draw, so the frames kept are those in which some stretch of a run, a
whole run, or the house draws most. The wired house is then watched over every frame, and frames
that turn out worse are added.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable

import numpy as np

from effects import Show
from layouts.records import House
from sim.circuit.law import Law, demand_a
from sim.frame import Rig, on_wire, plain_codes
from sim.scan import frame_count, span_s

#: Pixels whose sum is looked at, in steps of half of it; and frames worked out at a time.
_STRETCHES, _BLOCK = (16, 64, 256), 64
#: How much of a scheme without a period an envelope is taken over [s].
ENVELOPE_S = 60.0
#: At most so many frames are planned for at first.
MOST_FRAMES = 24

Progress = Callable[[float, float], None]


def full_codes(house: House, brightness: float) -> np.ndarray:
    """(1, N, C) uint8: every channel of every pixel at `brightness` (0..1); spare ones dark."""
    return plain_codes(house, int(np.ceil(255 * brightness - 1e-9)))


def envelope_codes(
    rig: Rig, show: Show, brightness: float | None = None, progress: Progress | None = None
) -> np.ndarray:
    """(1, N, C) uint8: of every channel of every pixel the highest code in a period of `show`, or
    in `ENVELOPE_S` where it has none or a longer one.

    No frame of that time asks for more; a scheme that moves never asks for all of it at once.
    """
    frames = frame_count(min(span_s(show), ENVELOPE_S), show.fps)
    most = np.zeros((1, len(rig.house.pixels), len(rig.house.channels)), dtype=np.uint8)
    for first in range(0, frames, _BLOCK):
        if progress is not None:
            progress(first, frames)
        times = np.arange(first, min(first + _BLOCK, frames)) / show.fps
        shown = on_wire(rig, show, times, brightness)
        np.maximum(most[0], shown.max(axis=0), out=most[0])
    return most


def worst_codes(
    shows: Iterable[tuple[Rig, Show]],
    law: Law,
    brightness: float | None = None,
    seconds: float | None = None,
    progress: Progress | None = None,
) -> np.ndarray:
    """(F, N, C) uint8: the frames of all `shows` in which some part of the house draws most."""
    best_a = np.zeros(0)
    codes: list[np.ndarray] = []
    which = np.zeros(0, dtype=int)
    for rig, show in shows:
        frames = frame_count(span_s(show) if seconds is None else seconds, show.fps)
        for first in range(0, frames, _BLOCK):
            if progress is not None:
                progress(first, frames)
            times = np.arange(first, min(first + _BLOCK, frames)) / show.fps
            shown = on_wire(rig, show, times, brightness)
            amps = demand_a(law, shown).sum(axis=-1)
            sums = _sums(amps, rig.house)
            if not len(best_a):
                best_a, which = np.full(sums.shape[1], -1.0), np.zeros(sums.shape[1], dtype=int)
            top = sums.argmax(axis=0)
            better = sums[top, np.arange(len(top))] > best_a * (1 + 1e-9) + 1e-9
            for frame in np.unique(top[better]).tolist():
                mine = better & (top == frame)
                which[mine] = len(codes)
                codes.append(shown[frame])
            best_a[better] = sums[top, np.arange(len(top))][better]
    # The frames that are most for the most stretches stand for all.
    number, count = np.unique(which, return_counts=True)
    kept = number[np.argsort(-count, kind="stable")][:MOST_FRAMES]
    last = which[-1]  # the house as a whole
    if last not in kept:
        kept[-1] = last
    return np.stack([codes[n] for n in sorted(set(kept.tolist()))])


def _sums(amps: np.ndarray, house: House) -> np.ndarray:
    """(T, B) [A] of stretches of every run, of runs, and of the house, which comes last."""
    parts = []
    for run in house.runs:
        own = amps[:, run.pixels]
        total = np.concatenate([np.zeros((len(own), 1)), np.cumsum(own, axis=1)], axis=1)
        for length in _STRETCHES:
            if length < run.count:
                begin = np.arange(0, run.count - length + 1, max(1, length // 2))
                parts.append(total[:, begin + length] - total[:, begin])
        parts.append(total[:, -1:])
    return np.concatenate([*parts, amps.sum(axis=1, keepdims=True)], axis=1)
