"""The compiled core for nodes with a step-down regulator, which draw less the more they are fed.

What such a node draws is what a linear one would, less an *easing* that grows with its voltage
(`sim.circuit.law`). With the easing held, all currents rise with voltage and the voltages are
certain (`sim.circuit.kernel`). They rise with the easing, and the easing with them: so from
voltages above any solution the turns of holding and solving fall, and end at the highest solution
(Knaster and Tarski; Ortega and Rheinboldt 1970, 13.3). That is the one such wiring is in when it
was switched on from light loads. Where it has none with every regulator at work, the turns fall
on until some only switch through: their voltage has collapsed, which the voltages then show.

Where all currents are in their last piece, Newton's method with the easing's slope shortens the
way: the currents are convex there, so from above it stays above (the same, 13.3.4). It is left
where a pivot is not positive or a node falls below its piece; the turns go on instead.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.kernels import njit

from .elimination import LANES, Array, Pattern, factor, substitute, substitute_fixed
from .lanes import put, row
from .law import Law
from .law_table import LawTable, beside, words_of
from .newton import newton
from .newton_room import BALANCED_A, Room, enough, fill_full, room_for

#: Turns of holding and solving; near the most that wires can carry they are many.
_TURNS = 20_000
_NEWTON_ROUNDS = 60


class Falling(NamedTuple):
    """The step-down regulators of one part, by position; see `sim.circuit.law.Law`."""

    eased_v: np.ndarray  # (M,) 0: has none
    regulator_a: np.ndarray  # (M,)
    flat_v: np.ndarray  # (M,) −∞ where no pixel is


def falling_of(law: Law, node: np.ndarray) -> Falling:
    """The law's step-down regulators at `node` (M,) as the compiled core reads them."""
    is_pixel = node < len(law.kind)
    kind = law.kind[np.where(is_pixel, node, 0)]
    return Falling(
        np.where(is_pixel, law.eased_v[kind], 0.0),
        np.where(is_pixel, law.regulator_a[kind], 0.0),
        np.where(is_pixel, law.flat_v[kind], -np.inf),
    )


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _ease(falling: Falling, full_a: Array, v: Array, eased: Array) -> None:
    """[A] that every pixel draws less at `v`."""
    for k in range(len(v)):
        at = falling.eased_v[k]
        for b in range(LANES):
            gone = 1.0 - at / v[k, b] if at > 0.0 and v[k, b] > at else 0.0
            eased[k, b] = (full_a[k, b] - falling.regulator_a[k]) * gone


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _held(
    net: Pattern, law: LawTable, fixed_diagonal: Array, fixed_entry: Array, eased: Array, room: Room
) -> tuple[int, int]:
    """The first volts and `room.current` with the easing held.

    Returns as `newton` where that does not converge.
    """
    size = len(net.node)
    v, current, full_a = room.volts[0], room.current, room.full_a
    for k in range(size):
        for b in range(LANES):
            v[k, b] = net.push_a[k] + eased[k, b] - full_a[k, b]
            current[k, b] = full_a[k, b]
    substitute_fixed(net, fixed_diagonal, fixed_entry, v)
    if enough(net, law, v):
        return -1, -1
    # A plain 0 would be a type of its own, and all be compiled for it too.
    lane, where, found, _ = newton(net, law, room, 0 * size, size, eased, True)
    if found > 0:
        for k in range(size):
            put(v, k, row(room.volts, size + k))
    return lane, where


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _shortened(
    net: Pattern, falling: Falling, full_a: Array, eased: Array, before: Array, room: Room
) -> bool:
    """Newton's method from the first volts, where every current is in its last piece.

    `before` is the easing that they were found with. Whether it came to the end; they and `eased`
    are touched only then.
    """
    v, step, diagonal, now = room.volts[1], room.step, room.taken_s, room.base
    residual, first = room.residual, room.volts[0]
    for k in range(len(net.node)):
        put(v, k, row(first, k))
        put(now, k, row(eased, k))
        put(residual, k, row(before, k) - row(eased, k))  # G·v − push + full − eased
    for _ in range(_NEWTON_ROUNDS):
        worst = 0.0
        for k in range(len(net.node)):
            for b in range(LANES):
                worst = max(worst, abs(residual[k, b]))
        if worst < BALANCED_A:
            for k in range(len(net.node)):
                put(first, k, row(v, k))
                put(eased, k, row(now, k))
            return True
        for k in range(len(net.node)):
            at, own = falling.eased_v[k], falling.regulator_a[k]
            for b in range(LANES):
                fall = (full_a[k, b] - own) * at / (v[k, b] * v[k, b]) if at > 0.0 else 0.0
                diagonal[k, b] = net.diagonal_s[k] - fall
                step[k, b] = -residual[k, b]
        factor(net, diagonal, room.entry)
        for k in range(len(net.node)):
            for b in range(LANES):
                if not diagonal[k, b] > 0.0:
                    return False
        substitute(net, diagonal, room.entry, step)
        for k in range(len(net.node)):
            least = max(falling.eased_v[k], falling.flat_v[k])
            for b in range(LANES):
                v[k, b] += step[k, b]
                if v[k, b] < least:
                    return False
        # G·v − push + full is linear: it changes by G·step, and G·step = −residual + fall·step.
        for k in range(len(net.node)):
            at, own = falling.eased_v[k], falling.regulator_a[k]
            for b in range(LANES):
                was = v[k, b] - step[k, b]
                five = full_a[k, b] - own
                if at > 0.0:
                    fall = five * at / (was * was)
                    eased_now = five * (1.0 - at / v[k, b])
                    residual[k, b] = fall * step[k, b] - (eased_now - now[k, b])
                    now[k, b] = eased_now
                else:
                    residual[k, b] = 0.0
    return False


@njit(cache=True, nogil=True, error_model="numpy")
def solve_falling(
    net: Pattern,
    law: LawTable,
    fixed_diagonal: Array,
    fixed_entry: Array,
    code: Array,
    falling: Falling,
    node_v: Array,
    amps: Array,
) -> tuple[int, int]:
    """As `sim.circuit.kernel.solve_frames`, with step-down regulators."""
    size = len(net.node)
    room, along = room_for(net, code.shape[2]), beside(net, law)
    v, current, full_a = room.volts[0], room.current, room.full_a
    before, eased = np.empty((2, size, LANES))
    stretch = -(-len(code) // LANES)
    shown, first = np.empty(LANES, dtype=np.int64), np.empty(LANES, dtype=np.int64)
    for turn in range(stretch):
        for b in range(LANES):
            shown[b] = min(b * stretch + turn, len(code) - 1)
            first[b] = shown[b] * code.shape[1] * code.shape[2]
        words_of(net, law, along, code, first, room.word)
        fill_full(net, law, room)
        # Nothing drawn: no solution lies above these voltages.
        for k in range(size):
            for b in range(LANES):
                v[k, b] = net.push_a[k]
        substitute_fixed(net, fixed_diagonal, fixed_entry, v)
        _ease(falling, full_a, v, eased)
        shorten, done = True, False
        for _ in range(_TURNS):
            lane, where = _held(net, law, fixed_diagonal, fixed_entry, eased, room)
            if lane >= 0:
                return shown[lane], where
            for k in range(size):
                put(before, k, row(eased, k))
            _ease(falling, full_a, v, eased)
            worst = 0.0
            for k in range(size):
                for b in range(LANES):
                    worst = max(worst, abs(before[k, b] - eased[k, b]))
            if worst < BALANCED_A:
                done = True
                break
            if shorten and enough(net, law, v):
                if _shortened(net, falling, full_a, eased, before, room):
                    done = True
                    break
                shorten = False
        if not done:
            return shown[0], 0
        for k in range(size):
            at = net.node[k]
            for b in range(LANES):
                node_v[shown[b], at] = v[k, b]
            if at < len(law.kind):
                for b in range(LANES):
                    amps[shown[b], at] = current[k, b] - eased[k, b]
    return -1, -1
