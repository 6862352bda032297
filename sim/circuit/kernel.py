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

import numpy as np

from sim.kernels import njit

from .elimination import LANES, Array, Pattern, substitute_fixed
from .lanes import both, chosen, either, every, put, row, scatter, size_of
from .lanes_across import EIGHT, put_eight
from .law_table import LawTable as LawTable
from .law_table import beside, words_of
from .newton import newton
from .newton_room import Room, enough, fill_full, room_for

#: Every so many nodes are looked at to see which way the voltages go.
_SAMPLE = 16


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _go_on(volts: Array, size: int, at: tuple[int, int, int, int], foretold: Array) -> None:
    """Guess the voltages from the frames before: where they point to, by two of them or by three.

    Rows of `volts` begin at `at` for the guess and for the three frames, newest first; `foretold`
    (⌈size / _SAMPLE⌉, LANES) is what the newest was to come to by all three. Each lane takes the
    way that would have met its last frame best, and stands still unless another way had met it
    much better, or light had jumped just before. A guess need only lie in the right pieces.
    """
    v, one, two, three = at
    still, line, curve, jump = every(0.0), every(0.0), every(0.0), every(0.0)
    for k in range(0, size, _SAMPLE):
        now, before = row(volts, one + k), row(volts, two + k)
        past = before - row(volts, three + k)
        still += size_of(now - before)
        jump += size_of(past)
        line += size_of(now - before - past)
        curve += size_of(now - row(foretold, k // _SAMPLE))
    straight = either(line < 0.5 * still, jump > 4.0 * still)
    bent = both(line < 0.5 * still, curve < 0.5 * line)
    by_two = chosen(straight, every(1.0), every(0.0))
    by_three = chosen(bent, every(1.0), every(0.0))
    for k in range(size):
        now, before = row(volts, one + k), row(volts, two + k)
        rise = now - before
        more = rise - (before - row(volts, three + k))
        put(volts, v + k, now + by_two * rise + by_three * more)
        if k % _SAMPLE == 0:
            put(foretold, k // _SAMPLE, now + rise + more)


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _write(
    net: Pattern, law: LawTable, along: Array, room: Room, v: int, first_v: Array, first_a: Array,
    node_v: Array, amps: Array,
) -> None:  # fmt: skip
    """Write down what frames came to, which is at row `v` of the volts.

    They begin at `first_v` (LANES,) in `node_v` and at `first_a` in `amps`.
    """
    node, size, pixels = net.node, len(net.node), len(law.kind)
    volts, current = room.volts, room.current
    k = 0
    while k < size:
        by = along[k]
        if by != 0:
            from_k = k if by > 0 else k + EIGHT - 1
            put_eight(node_v, first_v, node[from_k], volts, v + from_k, by)
            put_eight(amps, first_a, node[from_k], current, from_k, by)
            k += EIGHT
        else:
            scatter(node_v, first_v, node[k], row(volts, v + k))
            if node[k] < pixels:
                scatter(amps, first_a, node[k], row(current, k))
            k += 1


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
    push_a, size = net.push_a, len(net.node)
    room, along = room_for(net, code.shape[2]), beside(net, law)
    volts, current, full_a = room.volts, room.current, room.full_a
    foretold, none = np.empty((1, size // _SAMPLE + 1, LANES))[0], full_a[:0]
    # Where in the volts the guess is, what a round comes to, and the three frames before. (A plain
    # 0 would be a type of its own, and all be compiled for it too.)
    v, trial, one, two, three = 0 * size, size, 2 * size, 3 * size, 4 * size
    starved = False
    stretch = -(-len(code) // LANES)
    shown, first_c = np.empty(LANES, dtype=np.int64), np.empty(LANES, dtype=np.int64)
    first_v, first_a = np.empty(LANES, dtype=np.int64), np.empty(LANES, dtype=np.int64)
    for turn in range(stretch):
        # Lanes that have run out of frames repeat the last one.
        for b in range(LANES):
            frame = min(b * stretch + turn, len(code) - 1)
            shown[b], first_c[b] = frame, frame * code.shape[1] * code.shape[2]
            first_v[b], first_a[b] = frame * node_v.shape[1], frame * amps.shape[1]
        words_of(net, law, along, code, first_c, room.word)
        met = starved
        if starved:
            _go_on(volts, size, (v, one, two, three), foretold)
        else:
            fill_full(net, law, room)
            full_v = volts[v // size]
            for k in range(size):
                put(full_v, k, push_a[k] - row(full_a, k))
                put(current, k, row(full_a, k))
            substitute_fixed(net, fixed_diagonal, fixed_entry, full_v)
            starved = not enough(net, law, full_v)
        if starved:
            lane, where, found, starved = newton(net, law, room, v, trial, none, not met)
            if lane >= 0:
                return shown[lane], where
            if found == trial:
                v, trial = trial, v
        _write(net, law, along, room, v, first_v, first_a, node_v, amps)
        if starved:
            if not met:
                for k in range(size):
                    put(volts, one + k, row(volts, v + k))
                    put(volts, two + k, row(volts, v + k))
                    put(volts, three + k, row(volts, v + k))
            # What was found becomes the past, and the oldest past room for the next.
            v, one, two, three = three, v, one, two
    return -1, -1
