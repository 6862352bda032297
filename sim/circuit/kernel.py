"""The compiled core: a block of frames through one elimination order.

Frames stand side by side in the last axis (a *lane* each), so that one pass over the nodes serves
LANES frames and the processor's vector units work on neighbouring frames.

Two ways to the same answer. Where every pixel has enough voltage its current does not depend on
it, the network is linear, and one pre-factored solve is exact: it is tried first, and its voltages
prove or refute it. Elsewhere the currents rise with voltage, so the voltages are the minimum of a
strictly convex function (the network's content: Millar 1951), and Newton's method with its exact
second derivative (currents are piecewise linear) and a step cut back until the minimum along the
step is not passed converges from any start, and ends exactly once the pieces are known.
"""

from __future__ import annotations

import numpy as np
from numba import njit

LANES = 16
#: [A] a node's current counts as balanced below this; 1 pA through 10 Ω is 10 pV.
_BALANCED_A = 1e-12
_ROUNDS = 100
_CUTS = 60


@njit(cache=True, nogil=True)
def factor(first, last, column, row, product, target, entry_s, diagonal, entry):
    """L·D·Lᵀ of positions first..last-1; `diagonal` (M, lanes) is input and becomes 1/D."""
    lanes = diagonal.shape[1]
    for e in range(column[first], column[last]):
        for b in range(lanes):
            entry[e, b] = entry_s[e]
    for k in range(first, last):
        for b in range(lanes):
            diagonal[k, b] = 1.0 / diagonal[k, b]
        p = product[k]
        for i in range(column[k], column[k + 1]):
            at = row[i]
            for b in range(lanes):
                diagonal[at, b] -= entry[i, b] * entry[i, b] * diagonal[k, b]
            p += 1
            for j in range(i + 1, column[k + 1]):
                into = target[p]
                for b in range(lanes):
                    entry[into, b] -= entry[i, b] * entry[j, b] * diagonal[k, b]
                p += 1


@njit(cache=True, nogil=True)
def substitute(first, last, column, row, diagonal, entry, x):
    """Solve in place with the factors above; x (M, lanes)."""
    lanes = x.shape[1]
    for k in range(first, last):
        for b in range(lanes):
            x[k, b] *= diagonal[k, b]
        for i in range(column[k], column[k + 1]):
            at = row[i]
            for b in range(lanes):
                x[at, b] -= entry[i, b] * x[k, b]
    for k in range(last - 1, first - 1, -1):
        for i in range(column[k], column[k + 1]):
            at = row[i]
            for b in range(lanes):
                x[k, b] -= entry[i, b] * diagonal[k, b] * x[at, b]


@njit(cache=True, nogil=True)
def solve_block(
    codes, node_v, amps,  # (T, N, 4) uint8; results (T, M + S), (T, N)
    node, part, push_a, column, row, product, target, entry_s, diagonal_s,
    fixed_diagonal, fixed_entry,  # factors of the network without slopes (M,), (Z,)
    kind, idle_a, min_v, full_v, amps_of, vf_v, headroom_v, series,
):  # fmt: skip
    """Fill `node_v` and `amps`; returns (−1, −1), or (frame, position) that did not converge."""
    size, entries, pixels = len(node), len(row), len(kind)
    x = np.empty((size, LANES))
    draw = np.zeros((size, LANES))
    work = np.empty((6, size, LANES))
    entry = np.empty((entries, LANES))
    demand = np.zeros((size, 4, LANES))
    for start in range(0, len(codes), LANES):
        lanes = min(LANES, len(codes) - start)
        # The pixels' currents in full regulation, in elimination order.
        for k in range(size):
            pixel = node[k]
            if pixel >= pixels:
                continue
            q = kind[pixel]
            a0, a1, a2, a3 = amps_of[q]
            for b in range(lanes):
                t = start + b
                c0 = codes[t, pixel, 0] * a0
                c1 = codes[t, pixel, 1] * a1
                c2 = codes[t, pixel, 2] * a2
                c3 = codes[t, pixel, 3] * a3
                if series[q]:
                    draw[k, b] = idle_a[q] + max(max(c0, c1), max(c2, c3))
                else:
                    draw[k, b] = idle_a[q] + (c0 + c1 + (c2 + c3))
        for k in range(size):
            for b in range(LANES):
                x[k, b] = push_a[k] - draw[k, b]
        for k in range(size):
            for i in range(column[k], column[k + 1]):
                at = row[i]
                share = fixed_entry[i] * fixed_diagonal[k]
                for b in range(LANES):
                    x[at, b] -= share * x[k, b]
        for k in range(size - 1, -1, -1):
            for b in range(LANES):
                x[k, b] *= fixed_diagonal[k]
            for i in range(column[k], column[k + 1]):
                at = row[i]
                share = fixed_entry[i] * fixed_diagonal[k]
                for b in range(LANES):
                    x[k, b] -= share * x[at, b]
        for p in range(len(part) - 1):
            first, last = part[p], part[p + 1]
            short = False
            for k in range(first, last):
                if node[k] < pixels:
                    need = full_v[kind[node[k]]]
                    for b in range(lanes):
                        short |= x[k, b] < need
            if short:
                failed = starved(
                    codes, start, lanes, first, last, x, draw, work, entry, demand,
                    node, push_a, column, row, product, target, entry_s, diagonal_s,
                    kind, idle_a, min_v, full_v, amps_of, vf_v, headroom_v, series,
                )  # fmt: skip
                if failed[0] >= 0:
                    return start + failed[0], failed[1]
        for k in range(size):
            at = node[k]
            for b in range(lanes):
                node_v[start + b, at] = x[k, b]
            if at < pixels:
                for b in range(lanes):
                    amps[start + b, at] = draw[k, b]
    return -1, -1


@njit(cache=True, nogil=True)
def law(
    first, last, node, kind, pixels, idle_a, min_v, vf_v, headroom_v, demand, v, current, slope
):
    """Current and its derivative of positions first..last-1 at v, each (M, lanes)."""
    lanes = v.shape[1]
    for k in range(first, last):
        if node[k] >= pixels:
            for b in range(lanes):
                current[k, b] = 0.0
                slope[k, b] = 0.0
            continue
        q = kind[node[k]]
        idle, inverse = idle_a[q], 1.0 / min_v[q]
        for b in range(lanes):
            u = v[k, b] * inverse
            current[k, b] = idle * min(max(u, 0.0), 1.0)
            slope[k, b] = idle * inverse if 0.0 < u < 1.0 else 0.0
        inverse = 1.0 / headroom_v[q]
        for c in range(4):
            vf = vf_v[q, c]
            for b in range(lanes):
                u = (v[k, b] - vf) * inverse
                a = demand[k, c, b]
                current[k, b] += a * min(max(u, 0.0), 1.0)
                slope[k, b] += a * inverse if 0.0 < u < 1.0 else 0.0


@njit(cache=True, nogil=True)
def starved(
    codes, start, lanes, first, last, v, current, work, entry, demand,
    node, push_a, column, row, product, target, entry_s, diagonal_s,
    kind, idle_a, min_v, full_v, amps_of, vf_v, headroom_v, series,
):  # fmt: skip
    """Newton for one part of the network; v and current (M, lanes) are overwritten.

    Returns (−1, −1), or (lane, position) of the worst node where it did not converge.
    """
    pixels = len(kind)
    residual, slope, x, diagonal, trial, drawn = work
    for k in range(first, last):
        pixel = node[k]
        for b in range(LANES):
            slope[k, b] = 0.0
        if pixel < pixels:
            q = kind[pixel]
            for b in range(LANES):
                most = 0.0
                for c in range(4):
                    a = codes[start + b, pixel, c] * amps_of[q, c] if b < lanes else 0.0
                    most = max(most, a)
                    demand[k, c, b] = a
                if series[q]:
                    demand[k, 0, b] = most
                    for c in range(1, 4):
                        demand[k, c, b] = 0.0
                # To start, each pixel is the resistor that draws its full current at full voltage.
                if b < lanes:
                    slope[k, b] = current[k, b] / full_v[q]
        for b in range(LANES):
            diagonal[k, b] = diagonal_s[k] + slope[k, b]
            v[k, b] = push_a[k]
    factor(first, last, column, row, product, target, entry_s, diagonal, entry)
    substitute(first, last, column, row, diagonal, entry, v)
    for k in range(first, last):
        for b in range(LANES):
            residual[k, b] = -slope[k, b] * v[k, b]
    law(first, last, node, kind, pixels, idle_a, min_v, vf_v, headroom_v, demand, v, current, slope)
    for k in range(first, last):
        for b in range(LANES):
            residual[k, b] += current[k, b]

    worst = np.empty(LANES)
    share = np.empty(LANES)
    before = np.empty(LANES)
    after = np.empty(LANES)
    for _ in range(_ROUNDS):
        worst[:] = 0.0
        for k in range(first, last):
            for b in range(LANES):
                worst[b] = max(worst[b], abs(residual[k, b]))
        done = True
        for b in range(lanes):
            done &= worst[b] < _BALANCED_A
        if done:
            return -1, -1
        for k in range(first, last):
            for b in range(LANES):
                diagonal[k, b] = diagonal_s[k] + slope[k, b]
                x[k, b] = -residual[k, b]
        factor(first, last, column, row, product, target, entry_s, diagonal, entry)
        substitute(first, last, column, row, diagonal, entry, x)

        # The residual after a share of the step needs no pass over the network: of the linear
        # part (1 − share) is left, and the rest is what the pixels' currents bend.
        before[:] = 0.0
        for k in range(first, last):
            for b in range(LANES):
                before[b] += x[k, b] * residual[k, b]
        share[:] = 1.0
        for _ in range(_CUTS):
            for k in range(first, last):
                for b in range(LANES):
                    trial[k, b] = v[k, b] + share[b] * x[k, b]
                    diagonal[k, b] = slope[k, b]
            law(
                first, last, node, kind, pixels, idle_a, min_v, vf_v, headroom_v, demand,
                trial, drawn, slope,
            )  # fmt: skip
            after[:] = 0.0
            for k in range(first, last):
                for b in range(LANES):
                    bend = drawn[k, b] - current[k, b] - share[b] * diagonal[k, b] * x[k, b]
                    after[b] += x[k, b] * ((1.0 - share[b]) * residual[k, b] + bend)
            cut = False
            for b in range(lanes):
                if worst[b] >= _BALANCED_A and after[b] > 1e-3 * abs(before[b]):
                    share[b] *= 0.5
                    cut = True
            if not cut:
                break
            for k in range(first, last):
                for b in range(LANES):
                    slope[k, b] = diagonal[k, b]
        for k in range(first, last):
            for b in range(LANES):
                bend = drawn[k, b] - current[k, b] - share[b] * diagonal[k, b] * x[k, b]
                residual[k, b] = (1.0 - share[b]) * residual[k, b] + bend
                v[k, b] = trial[k, b]
                current[k, b] = drawn[k, b]
    where, lane = first, 0
    for k in range(first, last):
        for b in range(lanes):
            if abs(residual[k, b]) > abs(residual[where, lane]):
                where, lane = k, b
    return lane, where
