"""The compiled core: a block of frames through one elimination order.

Frames stand side by side in the last axis, LANES at a time, so that one pass over the nodes
serves them all and the processor's vector units work on neighbouring frames.

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
from numba import njit

LANES = 16
#: [A] a node counts as balanced below this: 1 pA through 10 Ω is 10 pV.
BALANCED_A = 1e-12
_ROUNDS = 100
_CUTS = 60


class Pattern(NamedTuple):
    """A network as arrays, in elimination order; see `sim.circuit.order.Plan`."""

    node: np.ndarray  # (M,) int64
    part: np.ndarray  # (P + 1,) int64
    column: np.ndarray  # (M + 1,) int64
    row: np.ndarray  # (Z,) int64
    product: np.ndarray  # (M + 1,) int64
    target: np.ndarray  # int64
    diagonal_s: np.ndarray  # (M,)
    entry_s: np.ndarray  # (Z,)
    push_a: np.ndarray  # (M,)


class Pixels(NamedTuple):
    """The pixel law as arrays; see `sim.circuit.law.Law`."""

    kind: np.ndarray  # (N,) int64
    idle_a: np.ndarray  # (K,)
    min_v: np.ndarray  # (K,)
    full_v: np.ndarray  # (K,)
    code_a: np.ndarray  # (K, 4) [A] a step of the code
    vf_v: np.ndarray  # (K, 4)
    headroom_v: np.ndarray  # (K,)
    channels: np.ndarray  # (K,) int64 how many there are to look at
    series: np.ndarray  # (K,) bool


class Room(NamedTuple):
    """What one block of frames is worked out in; arrays over (positions, LANES)."""

    v: np.ndarray
    current: np.ndarray
    slope: np.ndarray
    demand: np.ndarray  # (M, 4, LANES)
    residual: np.ndarray
    step: np.ndarray
    trial: np.ndarray
    drawn: np.ndarray
    bent: np.ndarray
    diagonal: np.ndarray
    entry: np.ndarray  # (Z, LANES)


@njit(cache=True, nogil=True)
def factor(net, first, last, diagonal, entry):
    """L·D·Lᵀ of positions first..last-1: `diagonal` becomes 1/D, `entry` L·D."""
    for e in range(net.column[first], net.column[last]):
        for b in range(LANES):
            entry[e, b] = net.entry_s[e]
    for k in range(first, last):
        for b in range(LANES):
            diagonal[k, b] = 1.0 / diagonal[k, b]
        p = net.product[k]
        end = net.column[k + 1]
        for i in range(net.column[k], end):
            at = net.row[i]
            for b in range(LANES):
                diagonal[at, b] -= entry[i, b] * entry[i, b] * diagonal[k, b]
            p += 1
            for j in range(i + 1, end):
                into = net.target[p]
                for b in range(LANES):
                    entry[into, b] -= entry[i, b] * entry[j, b] * diagonal[k, b]
                p += 1


@njit(cache=True, nogil=True)
def substitute(net, first, last, diagonal, entry, x):
    """Solve for x in place with the factors of `factor`."""
    for k in range(first, last):
        for b in range(LANES):
            x[k, b] *= diagonal[k, b]
        for i in range(net.column[k], net.column[k + 1]):
            at = net.row[i]
            for b in range(LANES):
                x[at, b] -= entry[i, b] * x[k, b]
    for k in range(last - 1, first - 1, -1):
        for i in range(net.column[k], net.column[k + 1]):
            at = net.row[i]
            for b in range(LANES):
                x[k, b] -= entry[i, b] * diagonal[k, b] * x[at, b]


@njit(cache=True, nogil=True)
def _substitute_fixed(net, first, last, diagonal, entry, x):
    """The same with one set of factors, (M,) and (Z,), for every lane."""
    for k in range(first, last):
        for b in range(LANES):
            x[k, b] *= diagonal[k]
        for i in range(net.column[k], net.column[k + 1]):
            at, e = net.row[i], entry[i]
            for b in range(LANES):
                x[at, b] -= e * x[k, b]
    for k in range(last - 1, first - 1, -1):
        for i in range(net.column[k], net.column[k + 1]):
            at, e = net.row[i], entry[i] * diagonal[k]
            for b in range(LANES):
                x[k, b] -= e * x[at, b]


@njit(cache=True, nogil=True)
def _full(net, law, first, last, codes, start, lanes, full_a):
    """What every pixel draws with enough voltage."""
    for k in range(first, last):
        pixel = net.node[k]
        if pixel >= len(law.kind):
            continue
        q = law.kind[pixel]
        idle = law.idle_a[q]
        a0, a1, a2, a3 = law.code_a[q]
        for b in range(lanes):
            c0 = codes[start + b, pixel, 0] * a0
            c1 = codes[start + b, pixel, 1] * a1
            c2 = codes[start + b, pixel, 2] * a2
            c3 = codes[start + b, pixel, 3] * a3
            if law.series[q]:
                full_a[k, b] = idle + max(max(c0, c1), max(c2, c3))
            else:
                full_a[k, b] = idle + (c0 + c1) + (c2 + c3)


@njit(cache=True, nogil=True)
def _demand(net, law, first, last, codes, start, lanes, full_a, demand):
    """The same less the idle current, channel by channel; a series pixel has one channel."""
    for k in range(first, last):
        pixel = net.node[k]
        if pixel >= len(law.kind):
            continue
        q = law.kind[pixel]
        if law.series[q]:
            for b in range(lanes):
                demand[k, 0, b] = full_a[k, b] - law.idle_a[q]
            continue
        for c in range(law.channels[q]):
            a = law.code_a[q, c]
            for b in range(lanes):
                demand[k, c, b] = codes[start + b, pixel, c] * a


@njit(cache=True, nogil=True)
def _draw(net, law, first, last, demand, v, current, slope):
    """The pixels' currents at v, and how they rise with it."""
    for k in range(first, last):
        if net.node[k] >= len(law.kind):
            continue
        q = law.kind[net.node[k]]
        idle, rise = law.idle_a[q], 1.0 / law.min_v[q]
        for b in range(LANES):
            u = v[k, b] * rise
            current[k, b] = idle * min(max(u, 0.0), 1.0)
            slope[k, b] = idle * rise if 0.0 < u < 1.0 else 0.0
        rise = 1.0 / law.headroom_v[q]
        for c in range(law.channels[q]):
            vf = law.vf_v[q, c]
            for b in range(LANES):
                u = (v[k, b] - vf) * rise
                current[k, b] += demand[k, c, b] * min(max(u, 0.0), 1.0)
                slope[k, b] += demand[k, c, b] * rise if 0.0 < u < 1.0 else 0.0


@njit(cache=True, nogil=True)
def _start(net, law, first, last, full_a, room):
    """Begin with each pixel as the resistor that draws its full current at full voltage."""
    v, slope, residual, diagonal = room.v, room.slope, room.residual, room.diagonal
    for k in range(first, last):
        rise = 0.0
        if net.node[k] < len(law.kind):
            rise = 1.0 / law.full_v[law.kind[net.node[k]]]
        for b in range(LANES):
            slope[k, b] = full_a[k, b] * rise
            diagonal[k, b] = net.diagonal_s[k] + slope[k, b]
            v[k, b] = net.push_a[k]
    factor(net, first, last, diagonal, room.entry)
    substitute(net, first, last, diagonal, room.entry, v)
    for k in range(first, last):
        for b in range(LANES):
            residual[k, b] = -slope[k, b] * v[k, b]


@njit(cache=True, nogil=True)
def _newton(net, law, first, last, lanes, room):
    """Balance one part of the network, from `room.v` and the residual without the pixels' part.

    Returns (−1, −1), or (lane, position) of the worst node if it does not converge.
    """
    v, current, slope, residual, step = room.v, room.current, room.slope, room.residual, room.step
    trial, drawn, bent, diagonal = room.trial, room.drawn, room.bent, room.diagonal
    worst, share, before, after = np.empty((4, LANES))
    _draw(net, law, first, last, room.demand, v, current, slope)
    for k in range(first, last):
        for b in range(LANES):
            residual[k, b] += current[k, b]
    for _ in range(_ROUNDS):
        worst[:] = 0.0
        for k in range(first, last):
            for b in range(LANES):
                worst[b] = max(worst[b], abs(residual[k, b]))
        if worst[:lanes].max() < BALANCED_A:
            return -1, -1
        before[:] = 0.0
        for k in range(first, last):
            for b in range(LANES):
                diagonal[k, b] = net.diagonal_s[k] + slope[k, b]
                step[k, b] = -residual[k, b]
        factor(net, first, last, diagonal, room.entry)
        substitute(net, first, last, diagonal, room.entry, step)
        for k in range(first, last):
            for b in range(LANES):
                before[b] += step[k, b] * residual[k, b]
                diagonal[k, b] = slope[k, b]
        share[:] = 1.0
        for _ in range(_CUTS):
            for k in range(first, last):
                for b in range(LANES):
                    trial[k, b] = v[k, b] + share[b] * step[k, b]
            _draw(net, law, first, last, room.demand, trial, drawn, slope)
            # After a share of the step, (1 − share) of the residual is left, and what the
            # pixels' currents bend away from their tangents is added.
            after[:] = 0.0
            for k in range(first, last):
                for b in range(LANES):
                    bend = drawn[k, b] - current[k, b] - share[b] * diagonal[k, b] * step[k, b]
                    bent[k, b] = (1.0 - share[b]) * residual[k, b] + bend
                    after[b] += step[k, b] * bent[k, b]
            # `before` is how steeply the content falls along the step at its start, `after` how
            # steeply it rises at its end. Past the minimum the secant says where to try again.
            passed = False
            for b in range(lanes):
                if worst[b] >= BALANCED_A and after[b] > 1e-3 * abs(before[b]):
                    ratio = abs(before[b]) / (abs(before[b]) + after[b])
                    share[b] *= min(max(ratio, 0.1), 0.9)
                    passed = True
            if not passed:
                break
        for k in range(first, last):
            for b in range(LANES):
                residual[k, b] = bent[k, b]
                v[k, b] = trial[k, b]
                current[k, b] = drawn[k, b]
    where, lane = first, 0
    for k in range(first, last):
        for b in range(lanes):
            if abs(residual[k, b]) > abs(residual[where, lane]):
                where, lane = k, b
    return lane, where


@njit(cache=True, nogil=True)
def _enough(net, law, first, last, lanes, v):
    """True where every pixel of every lane has the voltage to draw and shine in full."""
    short = False
    for k in range(first, last):
        if net.node[k] < len(law.kind):
            need = law.full_v[law.kind[net.node[k]]]
            for b in range(lanes):
                short |= v[k, b] < need
    return not short


@njit(cache=True, nogil=True)
def solve_frames(net, law, fixed_diagonal, fixed_entry, codes, node_v, amps):
    """Fill `node_v` (T, M + S) and `amps` (T, N) for `codes` (T, N, 4).

    `fixed_diagonal` (M,) and `fixed_entry` (Z,) are the factors of the network without slopes.
    Returns (−1, −1), or (frame, position) where it does not converge.
    """
    size = len(net.node)
    across = np.zeros((10, size, LANES))
    v, current, slope, residual, step, trial, drawn, bent, diagonal, full_a = across
    entry = np.empty((len(net.row), LANES))
    demand = np.zeros((size, 4, LANES))
    room = Room(v, current, slope, demand, residual, step, trial, drawn, bent, diagonal, entry)
    starved = np.zeros(len(net.part), dtype=np.bool_)
    for start in range(0, len(codes), LANES):
        lanes = min(LANES, len(codes) - start)
        for p in range(len(net.part) - 1):
            first, last = net.part[p], net.part[p + 1]
            _full(net, law, first, last, codes, start, lanes, full_a)
            if starved[p]:
                # The last frames' voltages are a good start. They were balanced, so what is
                # not is how the pixels' currents now differ.
                for k in range(first, last):
                    for b in range(LANES):
                        residual[k, b] = -current[k, b]
            else:
                for k in range(first, last):
                    for b in range(LANES):
                        v[k, b] = net.push_a[k] - full_a[k, b]
                        current[k, b] = full_a[k, b]
                _substitute_fixed(net, first, last, fixed_diagonal, fixed_entry, v)
                starved[p] = not _enough(net, law, first, last, lanes, v)
                if starved[p]:
                    _start(net, law, first, last, full_a, room)
            if starved[p]:
                _demand(net, law, first, last, codes, start, lanes, full_a, demand)
                lane, where = _newton(net, law, first, last, lanes, room)
                if lane >= 0:
                    return start + lane, where
                starved[p] = not _enough(net, law, first, last, lanes, v)
        for k in range(size):
            at = net.node[k]
            for b in range(lanes):
                node_v[start + b, at] = v[k, b]
            if at < len(law.kind):
                for b in range(lanes):
                    amps[start + b, at] = current[k, b]
    return -1, -1
