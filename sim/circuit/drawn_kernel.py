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
from .lanes import anywhere, both, chosen, either, every, least, most, put, row, scatter, size_of
from .law_table import LawTable, kind_of

#: [A] a node counts as balanced below this: 0.1 nA through 10 Ω is 1 nV.
BALANCED_A = 1e-10
_ROUNDS = 100
_CUTS = 60
#: How far a step may pass the minimum along its line, as in `newton`.
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


class _Drawing(NamedTuple):
    """What a block of draws is worked out in; arrays over (positions, LANES) unless said."""

    base_s: np.ndarray  # the conductances of each draw: of nodes,
    fixed_s: np.ndarray  # (Z, LANES) between them
    push: np.ndarray  # [A] pushed in
    demand: np.ndarray  # (M, channels, LANES) [A]
    shift: np.ndarray  # (R, channels, LANES) [V]
    shift_most: np.ndarray  # (R, LANES) [V]
    v: np.ndarray  # [V] the guess, and then what was found
    trial: np.ndarray  # [V] what a round comes to
    current: np.ndarray  # [A] there
    at_none: np.ndarray  # [A] of the lines through the guess
    slope: np.ndarray  # [S]
    pivot: np.ndarray
    low: np.ndarray  # (Z, LANES)
    full: np.ndarray  # [A] with enough voltage; the factors then
    whole: np.ndarray
    whole_low: np.ndarray  # (Z, LANES)
    residual: np.ndarray
    off: np.ndarray  # (1, LANES) [A] the most that a pixel is off its line


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
        together_a = kind_of(law.each, q).together_a
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
def _in_full(net: Pattern, law: LawTable, room: _Drawing) -> None:
    """What every pixel draws with enough voltage."""
    node, channels = net.node, room.demand.shape[1]
    for k in range(len(node)):
        whole = every(0.0)
        if node[k] < len(law.kind):
            q = law.kind[node[k]]
            whole += law.idle_a[q] * law.idle_v[q, 2]
            for c in range(law.channels[q]):
                whole += law.most[q, c] * row(room.demand, k * channels + c)
        put(room.full, k, whole)


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _draw(net: Pattern, law: LawTable, run: Array, room: _Drawing, v: Array, lines: bool) -> None:
    """Draw the pixels at `v`: lines through it, or currents and how far those are off the lines."""
    node, kind, demand, shift = net.node, law.kind, room.demand, room.shift
    idle_a, idle_v, vf_v, headroom_v, part_most = (
        *(law.idle_a, law.idle_v, law.vf_v, law.headroom_v, law.most),
    )
    channels = demand.shape[1]
    none, worst = every(0.0), every(0.0)
    for k in range(len(node)):
        if node[k] >= len(kind):
            continue
        q, here, where = kind[node[k]], row(v, k), run[node[k]] * channels
        rise = 1.0 / idle_v[q, 1]
        u = (here - idle_v[q, 0]) * rise
        part = least(most(u, none), every(idle_v[q, 2]))
        now, slope = idle_a[q] * part, chosen(part == u, every(idle_a[q] * rise), none)
        for c in range(law.channels[q]):
            asked, rise = row(demand, k * channels + c), 1.0 / headroom_v[q, c]
            u = (here - vf_v[q, c] - row(shift, where + c)) * rise
            part = least(most(u, none), every(part_most[q, c]))
            now += asked * part
            slope += chosen(part == u, asked * rise, none)
        if lines:
            put(room.slope, k, slope)
            put(room.at_none, k, now - slope * here)
        else:
            put(room.current, k, now)
            worst = most(worst, size_of(now - (row(room.at_none, k) + row(room.slope, k) * here)))
    if not lines:
        put(room.off, 0, worst)


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _solve_lines(net: Pattern, room: _Drawing) -> None:
    """The voltages `trial` with every pixel as its line."""
    for e in range(len(net.row)):
        put(room.low, e, row(room.fixed_s, e))
    for k in range(len(net.node)):
        put(room.pivot, k, row(room.base_s, k) + row(room.slope, k))
        put(room.trial, k, row(room.push, k) - row(room.at_none, k))
    factor_lanes(net, room.pivot, room.low)
    substitute(net, room.pivot, room.low, room.trial)


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _cut(net: Pattern, law: LawTable, run: Array, room: _Drawing) -> None:
    """Cut the step from `v` to `trial` short where it passes the minimum, as `newton_cut` does."""
    v, trial, current, step, residual = room.v, room.trial, room.current, room.pivot, room.residual
    at_none, slope, base_s, fixed_s = room.at_none, room.slope, room.base_s, room.fixed_s
    size = len(net.node)
    unbalanced = row(room.off, 0) >= BALANCED_A
    # G·v − push + what the pixels draw, at the guess.
    for k in range(size):
        here = row(v, k)
        drawn = row(at_none, k) + row(slope, k) * here
        put(residual, k, row(base_s, k) * here - row(room.push, k) + drawn)
        put(step, k, row(trial, k) - here)
    for k in range(size):
        for i in range(net.column[k], net.column[k + 1]):
            at = net.row[i]
            put(residual, k, row(residual, k) + row(fixed_s, i) * row(v, at))
            put(residual, at, row(residual, at) + row(fixed_s, i) * row(v, k))
    before, share = every(0.0), every(1.0)
    for k in range(size):
        before += row(step, k) * row(residual, k)
    before = size_of(before)
    for _ in range(_CUTS):
        after = every(0.0)
        for k in range(size):
            left = row(current, k) - (row(at_none, k) + row(slope, k) * row(trial, k))
            after += row(step, k) * ((1.0 - share) * row(residual, k) + left)
        passed = both(unbalanced, after > _SLACK * before)
        if not anywhere(passed):
            return
        ratio = least(most(before / (before + after), every(0.1)), every(0.9))
        share = chosen(passed, share * ratio, share)
        for k in range(size):
            put(trial, k, row(v, k) + share * row(step, k))
        _draw(net, law, run, room, trial, size < 0)


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _balance(net: Pattern, law: LawTable, run: Array, room: _Drawing) -> bool:
    """Newton's method from each pixel as the resistor that draws its full current at full volts.

    Whether it converges; `v` and `current` are what was found.
    """
    node, kind = net.node, law.kind
    # Plain True and False would be types of their own, and all be compiled for each.
    lines, currents = len(node) >= 0, len(node) < 0
    for k in range(len(node)):
        put(room.at_none, k, every(0.0))
        put(room.slope, k, every(0.0))
        put(room.current, k, every(0.0))
        if node[k] < len(kind):
            put(room.slope, k, row(room.full, k) * (1.0 / max(law.flat_v[kind[node[k]]], 0.1)))
    _solve_lines(net, room)
    for _ in range(_ROUNDS):
        for k in range(len(node)):
            put(room.v, k, row(room.trial, k))
        _draw(net, law, run, room, room.v, lines)
        _solve_lines(net, room)
        _draw(net, law, run, room, room.trial, currents)
        if not anywhere(row(room.off, 0) >= BALANCED_A):
            for k in range(len(node)):
                put(room.v, k, row(room.trial, k))
            return True
        _cut(net, law, run, room)
    return False


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _drawing(net: Pattern, runs: int, channels: int) -> _Drawing:
    """Room for a block."""
    size, entries = len(net.node), len(net.row)
    base_s, push, v, trial, current = np.empty((5, size, LANES))
    at_none, slope, pivot, residual, full, whole = np.empty((6, size, LANES))
    fixed_s, low, whole_low = np.empty((3, entries, LANES))
    shift_most, off = np.empty((1, runs, LANES))[0], np.empty((1, 1, LANES))[0]
    demand, shift = np.empty((size, channels, LANES)), np.empty((runs, channels, LANES))
    return _Drawing(
        *(base_s, fixed_s, push, demand, shift, shift_most, v, trial, current, at_none, slope),
        *(pivot, low, full, whole, whole_low, residual, off),
    )


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def _take(table: DrawTable, who: Array, room: _Drawing) -> None:
    """The numbers of the draws `who` (LANES,) side by side."""
    runs, channels = room.shift.shape[0], room.shift.shape[1]
    for b in range(LANES):
        d = who[b]
        for k in range(len(room.base_s)):
            room.base_s[k, b] = table.diagonal_s[d, k]
            room.push[k, b] = table.push_a[d, k]
        for e in range(len(room.fixed_s)):
            room.fixed_s[e, b] = table.entry_s[d, e]
        for r in range(runs):
            room.shift_most[r, b] = table.vf_most[d, r]
            for c in range(channels):
                room.shift[r, c, b] = table.vf_add[d, r, c]


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
    node, kind, run, size = net.node, law.kind, table.run, len(net.node)
    draws, frames, channels = shown.shape[0], shown.shape[1], codes.shape[2]
    room = _drawing(net, table.vf_most.shape[1], channels)
    whole, whole_low, full = room.whole, room.whole_low, room.full
    who, at = np.empty(LANES, dtype=np.int64), np.empty(LANES, dtype=np.int64)
    first_v, first_a = np.empty(LANES, dtype=np.int64), np.empty(LANES, dtype=np.int64)
    for first in range(0, draws, LANES):
        # Lanes without a draw of their own repeat the last one.
        for b in range(LANES):
            who[b] = min(first + b, draws - 1)
        _take(table, who, room)
        for k in range(size):
            put(whole, k, row(room.base_s, k))
        for e in range(len(net.row)):
            put(whole_low, e, row(room.fixed_s, e))
        factor_lanes(net, whole, whole_low)
        for frame in range(frames):
            for b in range(LANES):
                at[b] = shown[who[b], frame]
                first_v[b] = (who[b] * frames + frame) * node_v.shape[2]
                first_a[b] = (who[b] * frames + frame) * amps.shape[2]
            _asked(net, law, table, who, codes, at, room.demand)
            _in_full(net, law, room)
            for k in range(size):
                put(room.v, k, row(room.push, k) - row(full, k))
                put(room.current, k, row(full, k))
            substitute(net, whole, whole_low, room.v)
            short = every(0.0) > 0.0
            for k in range(size):
                if node[k] < len(kind):
                    need = law.flat_v[kind[node[k]]] + row(room.shift_most, run[node[k]])
                    short = either(short, row(room.v, k) < need)
            if anywhere(short) and not _balance(net, law, run, room):
                lane, where = 0, 0
                for b in range(LANES):
                    if room.off[0, b] > room.off[0, lane]:
                        lane = b
                for k in range(size):
                    changed = abs(room.trial[k, lane] - room.v[k, lane])
                    if changed > abs(room.trial[where, lane] - room.v[where, lane]):
                        where = k
                return who[lane], frame, where
            for k in range(size):
                scatter(node_v, first_v, node[k], row(room.v, k))
                if node[k] < len(kind):
                    scatter(amps, first_a, node[k], row(room.current, k))
    return -1, -1, -1
