"""The compiled core: a block of frames through one elimination order.

LANES frames are worked on side by side. Each lane has its own stretch of the block and goes through
it frame by frame: the frame before is then a good first guess.

Two ways to the same answer. Where every pixel has enough voltage its current does not depend on
it, the network is linear, and one pre-factored solve is exact: it is tried first, and its voltages
prove or refute it. Elsewhere the currents rise with voltage, so the voltages are the minimum of a
strictly convex function (the content of the network: Millar 1951). Newton's method with its exact
second derivative, and a step cut back where it passes the minimum along its line, gets there from
any start; and since the currents are piecewise linear it ends exactly, once the pieces are known.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.kernels import njit

from .elimination import LANES, Array, Pattern, factor, substitute, substitute_fixed
from .law_table import LawTable, demand_of, full_of

#: [A] a node counts as balanced below this: 1 pA through 10 Ω is 10 pV.
BALANCED_A = 1e-12
_ROUNDS = 100
#: Every so many nodes are looked at to see which way the voltages go.
_SAMPLE = 16
_CUTS = 60
#: A step may pass the minimum along its line a little: the content must not rise at its end by
#: more than this share of its fall at the start. Easy for some rounds, which is quicker; strict
#: after them, which is what makes sure of the end.
_EASY, _STRICT, _EASY_ROUNDS = 0.2, 1e-3, 8


class Room(NamedTuple):
    """What one block of frames is worked out in; arrays over (positions, LANES)."""

    v: np.ndarray
    current: np.ndarray
    slope: np.ndarray
    demand: np.ndarray  # (M, C, LANES)
    residual: np.ndarray
    step: np.ndarray
    trial: np.ndarray
    drawn: np.ndarray
    bent: np.ndarray
    tangent: np.ndarray
    diagonal: np.ndarray
    entry: np.ndarray  # (Z, LANES)


class Last(NamedTuple):
    """The frame before the one at hand; arrays (M, LANES)."""

    v: np.ndarray
    current: np.ndarray
    ahead_v: np.ndarray  # where the two frames before it had pointed to


@njit(cache=True, nogil=True, error_model="numpy")
def _draw(
    net: Pattern, law: LawTable, demand: Array, v: Array, current: Array, slope: Array
) -> None:
    """The pixels' currents at v, and how they rise with it."""
    for k in range(len(net.node)):
        if net.node[k] >= len(law.kind):
            continue
        q = law.kind[net.node[k]]
        idle, rise = law.idle_a[q], 1.0 / law.idle_v[q, 1]
        begin, most = law.idle_v[q, 0], law.idle_v[q, 2]
        for b in range(LANES):
            u = (v[k, b] - begin) * rise
            part = min(max(u, 0.0), most)
            current[k, b] = idle * part
            slope[k, b] = idle * rise if part == u else 0.0
        for c in range(law.channels[q]):
            vf, rise, most = law.vf_v[q, c], 1.0 / law.headroom_v[q, c], law.most[q, c]
            for b in range(LANES):
                u = (v[k, b] - vf) * rise
                part = min(max(u, 0.0), most)
                current[k, b] += demand[k, c, b] * part
                slope[k, b] += demand[k, c, b] * rise if part == u else 0.0


@njit(cache=True, nogil=True, error_model="numpy")
def _start(net: Pattern, law: LawTable, full_a: Array, room: Room) -> None:
    """Begin with each pixel as the resistor that draws its full current at full voltage.

    `room.v` holds what is pushed into each node [A], and the voltages then.
    """
    v, slope, residual, diagonal = room.v, room.slope, room.residual, room.diagonal
    for k in range(len(net.node)):
        rise = 0.0
        if net.node[k] < len(law.kind):
            rise = 1.0 / law.flat_v[law.kind[net.node[k]]]
        for b in range(LANES):
            slope[k, b] = full_a[k, b] * rise
            diagonal[k, b] = net.diagonal_s[k] + slope[k, b]
    factor(net, diagonal, room.entry)
    substitute(net, diagonal, room.entry, v)
    for k in range(len(net.node)):
        for b in range(LANES):
            residual[k, b] = -slope[k, b] * v[k, b]


@njit(cache=True, nogil=True, error_model="numpy")
def _go_on(net: Pattern, room: Room, last: Last) -> None:
    """Begin with the frame before, or where the last two frames point to.

    Both are balanced but for how the pixels' currents now differ: what the wires carry at the
    voltages pointed to is as linear as they are. Light that changes evenly is met so in one round;
    where the frame before was met better by standing still, one stands still.
    """
    v, current, residual = room.v, room.current, room.residual
    still, ahead = 0.0, 0.0
    for k in range(0, len(net.node), _SAMPLE):
        for b in range(LANES):
            still += abs(v[k, b] - last.v[k, b])
            ahead += abs(v[k, b] - last.ahead_v[k, b])
            last.ahead_v[k, b] = v[k, b] + (v[k, b] - last.v[k, b])
    share = 1.0 if ahead < 0.5 * still else 0.0
    for k in range(len(net.node)):
        for b in range(LANES):
            residual[k, b] = -current[k, b] - share * (current[k, b] - last.current[k, b])
            last.current[k, b] = current[k, b]
        for b in range(LANES):
            past = last.v[k, b]
            last.v[k, b] = v[k, b]
            v[k, b] += share * (v[k, b] - past)


@njit(cache=True, nogil=True, error_model="numpy")
def _newton(net: Pattern, law: LawTable, room: Room) -> tuple[int, int]:
    """Balance the network, from `room.v` and the residual without the pixels' part.

    Returns (−1, −1), or (lane, position) of the worst node if it does not converge.
    """
    v, current, slope, residual = room.v, room.current, room.slope, room.residual
    trial, drawn, bent, tangent = room.trial, room.drawn, room.bent, room.tangent
    step, diagonal = room.step, room.diagonal
    worst, share, before, after = np.empty((4, LANES))
    _draw(net, law, room.demand, v, current, slope)
    worst[:] = 0.0
    for k in range(len(net.node)):
        for b in range(LANES):
            residual[k, b] += current[k, b]
            worst[b] = max(worst[b], abs(residual[k, b]))
    for turn in range(_ROUNDS):
        if worst.max() < BALANCED_A:
            if turn % 2:
                room.v[:], room.current[:] = v, current
            return -1, -1
        for k in range(len(net.node)):
            for b in range(LANES):
                diagonal[k, b] = net.diagonal_s[k] + slope[k, b]
                step[k, b] = -residual[k, b]
        factor(net, diagonal, room.entry)
        substitute(net, diagonal, room.entry, step)
        before[:] = 0.0
        for k in range(len(net.node)):
            for b in range(LANES):
                before[b] += step[k, b] * residual[k, b]
                trial[k, b] = v[k, b] + step[k, b]
        share[:] = 1.0
        slack = _EASY if turn < _EASY_ROUNDS else _STRICT
        for _ in range(_CUTS):
            _draw(net, law, room.demand, trial, drawn, tangent)
            # After a share of the step, (1 − share) of the residual is left, and what the
            # pixels' currents bend away from their tangents is added.
            after[:] = 0.0
            for k in range(len(net.node)):
                for b in range(LANES):
                    bend = drawn[k, b] - current[k, b] - share[b] * slope[k, b] * step[k, b]
                    bent[k, b] = (1.0 - share[b]) * residual[k, b] + bend
                    after[b] += step[k, b] * bent[k, b]
            # `before` is how steeply the content falls along the step at its start, `after` how
            # steeply it rises at its end. Past the minimum the secant says where to try again.
            passed = False
            for b in range(LANES):
                if worst[b] >= BALANCED_A and after[b] > slack * abs(before[b]):
                    ratio = abs(before[b]) / (abs(before[b]) + after[b])
                    share[b] *= min(max(ratio, 0.1), 0.9)
                    passed = True
            if not passed:
                break
            for k in range(len(net.node)):
                for b in range(LANES):
                    trial[k, b] = v[k, b] + share[b] * step[k, b]
        v, trial = trial, v
        current, drawn = drawn, current
        slope, tangent = tangent, slope
        residual, bent = bent, residual
        worst[:] = 0.0
        for k in range(len(net.node)):
            for b in range(LANES):
                worst[b] = max(worst[b], abs(residual[k, b]))
    where, lane = 0, 0
    for k in range(len(net.node)):
        for b in range(LANES):
            if abs(residual[k, b]) > abs(residual[where, lane]):
                where, lane = k, b
    return lane, where


@njit(cache=True, nogil=True, error_model="numpy")
def _enough(net: Pattern, law: LawTable, v: Array) -> bool:
    """True where every pixel of every lane draws what more voltage would not change."""
    short = False
    for k in range(len(net.node)):
        if net.node[k] < len(law.kind):
            need = law.flat_v[law.kind[net.node[k]]]
            for b in range(LANES):
                short |= v[k, b] < need
    return not short


@njit(cache=True, nogil=True, error_model="numpy")
def solve_frames(
    net: Pattern,
    law: LawTable,
    fixed_diagonal: Array,
    fixed_entry: Array,
    codes: Array,
    node_v: Array,
    amps: Array,
) -> tuple[int, int]:
    """Fill in one connected network's part of `node_v` and `amps` (T, N), for `codes` (T, N, C).

    `fixed_diagonal` (M,) and `fixed_entry` (Z,) are the factors of the network without slopes.
    Returns (−1, −1), or (frame, position) where it does not converge.
    """
    size = len(net.node)
    # Rows of nodes that are no pixels stay 0 in what pixels draw.
    v, residual, step, trial, bent, diagonal = np.empty((6, size, LANES))
    current, slope, drawn, tangent, full_a = np.zeros((5, size, LANES))
    entry = np.empty((len(net.row), LANES))
    demand = np.empty((size, law.code_a.shape[1], LANES))
    room = Room(
        v, current, slope, demand, residual, step, trial, drawn, bent, tangent, diagonal, entry
    )
    last_v, last_current, ahead_v = np.empty((3, size, LANES))
    last = Last(last_v, last_current, ahead_v)
    starved = False
    stretch = -(-len(codes) // LANES)
    shown = np.empty(LANES, dtype=np.int64)
    for turn in range(stretch):
        # Lanes that have run out of frames repeat the last one.
        for b in range(LANES):
            shown[b] = min(b * stretch + turn, len(codes) - 1)
        met = starved
        if starved:
            _go_on(net, room, last)
        else:
            full_of(net, law, codes, shown, full_a)
            for k in range(size):
                for b in range(LANES):
                    v[k, b] = net.push_a[k] - full_a[k, b]
                    current[k, b] = full_a[k, b]
            substitute_fixed(net, fixed_diagonal, fixed_entry, v)
            starved = not _enough(net, law, v)
            if starved:
                for k in range(size):
                    for b in range(LANES):
                        v[k, b] = net.push_a[k]
                _start(net, law, full_a, room)
        if starved:
            demand_of(net, law, codes, shown, demand)
            lane, where = _newton(net, law, room)
            if lane >= 0:
                return shown[lane], where
            starved = not _enough(net, law, v)
            if not met:
                last.v[:], last.current[:], last.ahead_v[:] = v, current, v
        for k in range(size):
            at = net.node[k]
            for b in range(LANES):
                node_v[shown[b], at] = v[k, b]
            if at < len(law.kind):
                for b in range(LANES):
                    amps[shown[b], at] = current[k, b]
    return -1, -1
