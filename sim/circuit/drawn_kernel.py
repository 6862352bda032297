"""The compiled core of `sim.circuit.drawn`: one wiring, many sets of numbers side by side.

LANES draws are worked on at once. Each has its own conductances, so its own factors, and goes
through its frames with them. The two ways to the answer are those of `sim.circuit.kernel`: one
linear solve where every pixel has voltage enough, Newton's method on the content elsewhere.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.kernels import njit

from .elimination import LANES, Array, Pattern, factor_lanes, substitute
from .kernel import LawTable

#: [A] a node counts as balanced below this: 0.1 nA through 10 Ω is 1 nV.
BALANCED_A = 1e-10
_ROUNDS = 100
_CUTS = 60
#: How far a step may pass the minimum along its line, as in `kernel`.
_SLACK = 0.1


class DrawTable(NamedTuple):
    """What D draws have of their own in one part of M nodes and Z entries."""

    diagonal_s: np.ndarray  # (D, M)
    entry_s: np.ndarray  # (D, Z)
    push_a: np.ndarray  # (D, M)
    times: np.ndarray  # (D, N) of the current of each pixel's channels
    run: np.ndarray  # (N,) int64
    vf_add: np.ndarray  # (D, R, channels) [V]
    vf_most: np.ndarray  # (D, R) [V] the highest of them, 0 or more


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _largest(values: Array) -> float:
    """The largest of (n,) numbers; none where one of them is none.

    numpy's own would have the compiler's tables read each time that the kernel is fetched from the
    disk: a tenth of a second.
    """
    most = values[0]
    for each in values:
        if each > most or each != each:
            most = each
    return most


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _asked(
    net: Pattern,
    law: LawTable,
    table: DrawTable,
    who: Array,
    codes: Array,
    at: Array,
    demand: Array,
) -> None:
    """What each channel of every pixel asks for [A]; a series pixel asks on its first channel."""
    for k in range(len(net.node)):
        pixel = net.node[k]
        if pixel >= len(law.kind):
            continue
        q = law.kind[pixel]
        together_a = 255.0 * _largest(law.code_a[q])
        for b in range(LANES):
            times = table.times[who[b], pixel]
            c0 = codes[at[b], pixel, 0] * law.code_a[q, 0]
            c1 = codes[at[b], pixel, 1] * law.code_a[q, 1]
            c2 = codes[at[b], pixel, 2] * law.code_a[q, 2]
            c3 = codes[at[b], pixel, 3] * law.code_a[q, 3]
            if law.one_current[q] == 0:
                demand[k, 0, b] = c0 * times
                demand[k, 1, b] = c1 * times
                demand[k, 2, b] = c2 * times
                demand[k, 3, b] = c3 * times
                for c in range(4, law.channels[q]):  # such a kind has no current in common
                    demand[k, c, b] = codes[at[b], pixel, c] * law.code_a[q, c] * times
            elif law.one_current[q] == 1:
                demand[k, 0, b] = max(max(c0, c1), max(c2, c3)) * times
            else:
                demand[k, 0, b] = min((c0 + c1) + (c2 + c3), together_a) * times


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _draw(
    net: Pattern,
    law: LawTable,
    table: DrawTable,
    who: Array,
    demand: Array,
    v: Array,
    current: Array,
    slope: Array,
) -> None:
    """The pixels' currents at v, and how they rise with it."""
    for k in range(len(net.node)):
        pixel = net.node[k]
        if pixel >= len(law.kind):
            continue
        q, run = law.kind[pixel], table.run[pixel]
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
                u = (v[k, b] - vf - table.vf_add[who[b], run, c]) * rise
                part = min(max(u, 0.0), most)
                current[k, b] += demand[k, c, b] * part
                slope[k, b] += demand[k, c, b] * rise if part == u else 0.0


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _flow(net: Pattern, diagonal: Array, entry: Array, push: Array, v: Array, out: Array) -> None:
    """out = G·v − push, lane by lane."""
    for k in range(len(net.node)):
        for b in range(LANES):
            out[k, b] = diagonal[k, b] * v[k, b] - push[k, b]
    for k in range(len(net.node)):
        for i in range(net.column[k], net.column[k + 1]):
            at = net.row[i]
            for b in range(LANES):
                out[k, b] += entry[i, b] * v[at, b]
                out[at, b] += entry[i, b] * v[k, b]


@njit(cache=True, nogil=True, error_model="numpy")
def solve_draws(
    net: Pattern,
    law: LawTable,
    table: DrawTable,
    codes: Array,
    shown: Array,
    node_v: Array,
    amps: Array,
) -> tuple[int, int, int]:
    """Fill in one part of `node_v` (D, F, X) and `amps` (D, F, N); `shown` (D, F) picks codes.

    Returns (−1, −1, −1), or (draw, frame, position) where it does not converge.
    """
    size, entries = len(net.node), len(net.row)
    draws, frames = shown.shape
    base, push, whole, v, step, residual, trial = np.empty((7, size, LANES))
    pivot, low, full_low = (
        np.empty((size, LANES)),
        np.empty((entries, LANES)),
        np.empty((entries, LANES)),
    )
    fixed, full = np.empty((entries, LANES)), np.zeros((size, LANES))
    current, slope, drawn, tangent, after_r = np.zeros((5, size, LANES))
    demand = np.zeros((size, codes.shape[2], LANES))
    who, at = np.empty(LANES, dtype=np.int64), np.empty(LANES, dtype=np.int64)
    worst, share, before, after = np.empty((4, LANES))
    for first in range(0, draws, LANES):
        # Lanes without a draw of their own repeat the last one.
        for b in range(LANES):
            who[b] = min(first + b, draws - 1)
            for k in range(size):
                base[k, b] = table.diagonal_s[who[b], k]
                push[k, b] = table.push_a[who[b], k]
            for e in range(entries):
                fixed[e, b] = table.entry_s[who[b], e]
        whole[:], full_low[:] = base, fixed
        factor_lanes(net, whole, full_low)
        for frame in range(frames):
            for b in range(LANES):
                at[b] = shown[who[b], frame]
            _asked(net, law, table, who, codes, at, demand)
            short = False
            for k in range(size):
                pixel = net.node[k]
                for b in range(LANES):
                    full[k, b] = 0.0
                if pixel < len(law.kind):
                    q = law.kind[pixel]
                    idle = law.idle_a[q] * law.idle_v[q, 2]
                    for b in range(LANES):
                        full[k, b] = idle
                    for c in range(law.channels[q]):
                        for b in range(LANES):
                            full[k, b] += demand[k, c, b] * law.most[q, c]
                for b in range(LANES):
                    v[k, b] = push[k, b] - full[k, b]
            substitute(net, whole, full_low, v)
            for k in range(size):
                pixel = net.node[k]
                if pixel < len(law.kind):
                    need, run = law.flat_v[law.kind[pixel]], table.run[pixel]
                    for b in range(LANES):
                        short |= v[k, b] < need + table.vf_most[who[b], run]
            if not short:
                current[:] = full
            else:
                # Begin with each pixel as the resistor that draws its full current at full volts.
                low[:] = fixed
                for k in range(size):
                    pixel = net.node[k]
                    rise = 0.0
                    if pixel < len(law.kind):
                        rise = 1.0 / max(law.flat_v[law.kind[pixel]], 0.1)
                    for b in range(LANES):
                        pivot[k, b] = base[k, b] + full[k, b] * rise
                        v[k, b] = push[k, b]
                factor_lanes(net, pivot, low)
                substitute(net, pivot, low, v)
                _draw(net, law, table, who, demand, v, current, slope)
                _flow(net, base, fixed, push, v, residual)
                residual += current
                done = False
                for _ in range(_ROUNDS):
                    worst[:] = 0.0
                    for k in range(size):
                        for b in range(LANES):
                            worst[b] = max(worst[b], abs(residual[k, b]))
                    if _largest(worst) < BALANCED_A:
                        done = True
                        break
                    low[:] = fixed
                    for k in range(size):
                        for b in range(LANES):
                            pivot[k, b] = base[k, b] + slope[k, b]
                            step[k, b] = -residual[k, b]
                    factor_lanes(net, pivot, low)
                    substitute(net, pivot, low, step)
                    before[:] = 0.0
                    share[:] = 1.0
                    for k in range(size):
                        for b in range(LANES):
                            before[b] += step[k, b] * residual[k, b]
                            trial[k, b] = v[k, b] + step[k, b]
                    for _ in range(_CUTS):
                        _draw(net, law, table, who, demand, trial, drawn, tangent)
                        after[:] = 0.0
                        for k in range(size):
                            for b in range(LANES):
                                bend = (
                                    drawn[k, b]
                                    - current[k, b]
                                    - share[b] * slope[k, b] * step[k, b]
                                )
                                after_r[k, b] = (1.0 - share[b]) * residual[k, b] + bend
                                after[b] += step[k, b] * after_r[k, b]
                        passed = False
                        for b in range(LANES):
                            if worst[b] >= BALANCED_A and after[b] > _SLACK * abs(before[b]):
                                ratio = abs(before[b]) / (abs(before[b]) + after[b])
                                share[b] *= min(max(ratio, 0.1), 0.9)
                                passed = True
                        if not passed:
                            break
                        for k in range(size):
                            for b in range(LANES):
                                trial[k, b] = v[k, b] + share[b] * step[k, b]
                    v[:], current[:], slope[:], residual[:] = trial, drawn, tangent, after_r
                if not done:
                    for b in range(LANES):
                        if worst[b] >= BALANCED_A:
                            place = 0
                            for k in range(size):
                                if abs(residual[k, b]) > abs(residual[place, b]):
                                    place = k
                            return who[b], frame, place
            for k in range(size):
                node = net.node[k]
                for b in range(LANES):
                    if first + b < draws:
                        node_v[first + b, frame, node] = v[k, b]
                        if node < len(law.kind):
                            amps[first + b, frame, node] = current[k, b]
    return -1, -1, -1
