"""The compiled core: a block of frames through one elimination order.

LANES frames are worked on side by side. Each lane has its own stretch of the block and goes through
it frame by frame: the frame before is then a good first guess.

Two ways to the same answer. Where every pixel has enough voltage its current does not depend on
it, the network is linear, and one pre-factored solve is exact: it is tried first, and its voltages
prove or refute it. Elsewhere the currents rise with voltage, so the voltages are the minimum of a
strictly convex function (the content of the network: Millar 1951). Newton's method with its exact
second derivative gets there from any start (`sim.circuit.newton`).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.kernels import njit

from .elimination import LANES, Array, Pattern, substitute_fixed
from .lanes import anywhere, either, every, most, put, row, scatter, size_of, total, words
from .law_table import LawTable as LawTable
from .law_table import drawn_of, kind_of, words_of
from .newton import Room, enough, fill_full, newton, room_for, start

#: Every so many nodes are looked at to see which way the voltages go.
_SAMPLE = 16


class Last(NamedTuple):
    """The frame before the one at hand; arrays (M, LANES)."""

    v: np.ndarray
    current: np.ndarray
    ahead_v: np.ndarray  # where the two frames before it had pointed to


@njit(cache=True, nogil=True, error_model="numpy")
def _go_on(net: Pattern, law: LawTable, room: Room, last: Last, found: Array) -> None:
    """Begin with the frame before, or where the last two frames point to.

    Both are balanced but for how the pixels' currents now differ: what the wires carry at the
    voltages pointed to is as linear as they are. Light that changes evenly is met so in one round;
    where the frame before was met better by standing still, one stands still.
    """
    node, kind, each, word = net.node, law.kind, law.each, room.word
    v, current, slope, residual = room.v, room.current, room.slope, room.residual
    last_v, last_current, ahead_v = last.v, last.current, last.ahead_v
    more = (len(word) - 1) * len(node)
    still, ahead = every(0.0), every(0.0)
    for k in range(0, len(v), _SAMPLE):
        still += size_of(row(v, k) - row(last_v, k))
        ahead += size_of(row(v, k) - row(ahead_v, k))
    share = 1.0 if total(ahead) < 0.5 * total(still) else 0.0
    worst = every(0.0)
    for k in range(len(v)):
        past, now = row(last_v, k), row(v, k)
        if k % _SAMPLE == 0:
            put(ahead_v, k, now + (now - past))
        put(last_v, k, now)
        now += share * (now - past)
        put(v, k, now)
        left = every(0.0)
        if node[k] < len(kind):
            before = row(current, k)
            of = kind_of(each, kind[node[k]])
            drawn, rise = drawn_of(of, words(word, k), words(word, more + k), now)
            left = drawn - before - share * (before - row(last_current, k))
            put(last_current, k, before)
            put(current, k, drawn)
            put(slope, k, rise)
        put(residual, k, left)
        worst = most(worst, size_of(left))
    put(found, 3, worst)


@njit(cache=True, nogil=True, error_model="numpy")
def solve_frames(
    net: Pattern,
    law: LawTable,
    fixed_diagonal: Array,
    fixed_entry: Array,
    code: Array,
    node_v: Array,
    amps: Array,
) -> tuple[int, int]:
    """Fill in one connected network's part of `node_v` and `amps` (T, N).

    `code` (T, N, W) are the words of the codes. `fixed_diagonal` (M,) and `fixed_entry` (Z,) are
    the factors of the network without slopes. Returns (−1, −1), or (frame, position) where it does
    not converge.
    """
    node, push_a, kind, flat_v = net.node, net.push_a, law.kind, law.flat_v
    size, pixels = len(node), len(law.kind)
    room = room_for(net, code.shape[2])
    last_v, last_current, ahead_v = np.zeros((3, size, LANES))
    last = Last(last_v, last_current, ahead_v)
    found = np.empty((4, LANES))
    starved = False
    stretch = -(-len(code) // LANES)
    shown = np.empty(LANES, dtype=np.int64)
    all_v, all_a = node_v.reshape(-1), amps.reshape(-1)
    for turn in range(stretch):
        # Lanes that have run out of frames repeat the last one.
        for b in range(LANES):
            shown[b] = min(b * stretch + turn, len(code) - 1)
        words_of(net, law, code, shown, room.word)
        met = starved
        if starved:
            _go_on(net, law, room, last, found)
        else:
            fill_full(net, law, room)
            v, current, full_a = room.v, room.current, room.full_a
            for k in range(size):
                put(v, k, push_a[k] - row(full_a, k))
                put(current, k, row(full_a, k))
            substitute_fixed(net, fixed_diagonal, fixed_entry, v)
            starved = not enough(net, law, v)
            if starved:
                for k in range(size):
                    put(v, k, every(push_a[k]))
                start(net, law, room, found)
        if starved:
            lane, where, room = newton(net, law, room, found)
            if lane >= 0:
                return shown[lane], where
            if not met:
                last_v[:], last_current[:], ahead_v[:] = room.v, room.current, room.v
        first_v, first_a = shown * node_v.shape[1], shown * amps.shape[1]
        v, current = room.v, room.current
        short = every(0.0) > 0.0
        for k in range(size):
            scatter(all_v, first_v, node[k], row(v, k))
            if node[k] < pixels:
                scatter(all_a, first_a, node[k], row(current, k))
                short = either(short, row(v, k) < flat_v[kind[node[k]]])
        starved = starved and anywhere(short)
    return -1, -1
