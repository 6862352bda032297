"""What every frame of a scheme asks of the wiring of a broken house, each frame by itself.

The same as `frame_of_broken` of one frame after another, while every supply that can is on, but
many at once: frames in which the same fuses open are worked out together. Those in which a supply
is held down at its limit are worked out alone, for each has a voltage of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import fields, replace

import numpy as np

from effects import Show
from sim.circuit import Loads, Network, join
from sim.circuit.loads import loads_of
from sim.frame import on_wire

from .broken import BrokenRig, lines_of
from .current_limit import held_down
from .fault_limits import asked_too_much, next_fuses
from .faults_circuit import opened_fuse
from .settled import Settled, settled

#: So many frames are worked out together: a piece of work of some milliseconds.
_PIECE = 16


def broken_blocks(
    rig: BrokenRig,
    show: Show,
    frames: int,
    fps: float,
    brightness: float,
    pause: Callable[[], None],
) -> Iterator[Loads]:
    """The loads of `frames` frames, block after block, in order; `pause` as in `sim.scan.blocks`.

    What a run draws and the volts on it are of the codes as its pixels show them.
    """
    for first in range(0, frames, _PIECE):
        pause()
        numbers = np.arange(first, min(first + _PIECE, frames))
        codes = on_wire(rig.rig, show, numbers / fps, brightness)
        yield broken_loads(rig, codes, np.rint(numbers * (show.fps / fps)).astype(int), pause)


def broken_loads(
    rig: BrokenRig, codes: np.ndarray, numbers: np.ndarray, pause: Callable[[], None]
) -> Loads:
    """The loads of the frames `codes` (T, N, C) uint8, sent as those of the `numbers` (T,)."""
    parts: list[Loads] = []
    order: list[np.ndarray] = []
    # circuits with fuses opened, those fuses, and which frames these are
    waiting: list[tuple[Network, tuple[int, ...], np.ndarray]] = []
    waiting.append((rig.network, (), np.arange(len(codes))))
    while waiting:
        net, opened, at = waiting.pop()
        state = _settled(rig, net, codes[at], numbers[at])
        fuse = next_fuses(state.solution, opened)
        for wire in np.unique(fuse[fuse >= 0]).tolist():
            waiting.append((opened_fuse(net, wire), (*opened, wire), at[fuse == wire]))
        over = asked_too_much(state.solution).any(axis=1)
        free = (fuse < 0) & ~over
        if free.any():
            parts.append(_rows(loads_of(state.solution, state.received), free))
            order.append(at[free])
        for frame in at[(fuse < 0) & over]:
            pause()
            parts.append(_held_down(rig, net, codes[frame][None], numbers[frame][None]))
            order.append(np.array([frame]))
    return _rows(join(parts), np.argsort(np.concatenate(order)))


def _held_down(rig: BrokenRig, net: Network, codes: np.ndarray, number: np.ndarray) -> Loads:
    """One frame, with the supplies at their limits that are asked for more."""

    def solved(there: Network) -> Settled:
        return _settled(rig, there, codes, number)

    _, state, _ = held_down(net, solved(net), solved)
    return loads_of(state.solution, state.received)


def _settled(rig: BrokenRig, net: Network, codes: np.ndarray, numbers: np.ndarray) -> Settled:
    return settled(net, replace(lines_of(rig, len(codes)), number=numbers), codes)


def _rows(loads: Loads, which: np.ndarray) -> Loads:
    return Loads(*(getattr(loads, each.name)[which] for each in fields(Loads)))
