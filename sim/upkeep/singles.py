"""Many faults, one at a time: the house with each of them alone, quickly.

Faults that leave the circuit as it is (dark, stuck, garbage, open data) are shown side by side, as
frames of one circuit; every other one is solved on numbers of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields

import numpy as np

from layouts.faults import Fault
from sim.circuit import Solution
from sim.frame import Rig

from .broken import BrokenFrame, BrokenRig, BrokenState, broken, frame_of_broken, lines_of
from .fault_limits import next_fuse, overloaded
from .settled import Lines, settled

#: So many frames are worked on at once.
_BLOCK = 128


def each_alone(
    rig: Rig, faults: Sequence[Fault], codes: np.ndarray, *, seed: int = 0
) -> Iterator[BrokenFrame]:
    """What the house shows with each of `faults` alone while `codes` (T, N, C) uint8 are sent.

    In the order of `faults`; the same as `frame_of_broken` of each.
    """
    waiting: list[BrokenRig] = []
    done: dict[int, BrokenFrame] = {}
    at: list[int] = []
    many = max(1, _BLOCK // max(1, len(codes)))
    for index, fault in enumerate(faults):
        made = broken(rig, [fault], seed=seed)
        if made.network is rig.network and not made.hiccups:
            waiting.append(made)
            at.append(index)
        else:
            done[index] = frame_of_broken(made, codes)
        if len(waiting) == many or (waiting and index == len(faults) - 1):
            done.update(zip(at, _together(waiting, codes), strict=True))
            waiting, at = [], []
        if not waiting:
            yield from (done.pop(each) for each in sorted(done))


def _together(rigs: list[BrokenRig], codes: np.ndarray) -> Iterator[BrokenFrame]:
    """What each of these rigs shows, all on one circuit."""
    frames = len(codes)
    network = rigs[0].network
    found = settled(
        network,
        _joined([lines_of(each, frames) for each in rigs]),
        np.concatenate([codes] * len(rigs)),
    )
    if next_fuse(found.solution, ()) is not None or overloaded(found.solution):
        yield from (frame_of_broken(each, codes) for each in rigs)
        return
    light = found.light
    for k, each in enumerate(rigs):
        part = slice(k * frames, (k + 1) * frames)
        solution = Solution(network, found.solution.state[part], found.solution.amps[part])
        state = BrokenState(
            1.0, frozenset(), solution, found.received[part], found.arrives[part], light[part]
        )
        yield BrokenFrame(each, codes, (state,), (), ())


def _joined(parts: list[Lines]) -> Lines:
    """The frames of several, one after another."""
    arrays = {
        field.name: np.concatenate([getattr(part, field.name) for part in parts])
        for field in fields(Lines)
        if field.name not in ("line", "seed")
    }
    return Lines(line=parts[0].line, seed=parts[0].seed, **arrays)
