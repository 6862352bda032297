"""What frames ask of the wiring where every pixel has voltage enough; compiled.

There the currents do not depend on the voltages: one walk over the nodes and back solves a frame
(`sim.circuit.kernel` says why), and what is asked of it is summed on the way, so that the thousands
of volts and amperes are never written down.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.kernels import njit

from .elimination import LANES, Array, Pattern
from .lanes import both, chosen, either, every, gathered, least, most, put, row
from .law_table import LawTable, full_of, kind_of


class Tally(NamedTuple):
    """What is asked of T frames in G groups of LANES: R runs, K columns of the state."""

    run_a: np.ndarray  # (G, R, LANES) [A]
    run_v: np.ndarray  # (G, R, LANES) [V] least of the pixels that draw; infinite without any
    run_pixel: np.ndarray  # (G, R, LANES) the number of the pixel that has it
    pixels_w: np.ndarray  # (G, LANES) [W] of all pixels
    short: np.ndarray  # (G, LANES) 1 where a pixel has not voltage enough: nothing else holds there
    kept_v: np.ndarray  # (G, K, LANES) [V]


@njit(cache=True, nogil=True, error_model="numpy")
def tally_frames(
    net: Pattern,
    law: LawTable,
    fixed_diagonal: Array,
    fixed_entry: Array,
    code: Array,
    run: Array,
    slot: Array,
    tally: Tally,
) -> None:
    """Add one connected part to the tally of the frames `code` (T, N, W).

    `run` (M,) is the run of the pixel at each position, −1 where none is that draws; `slot` (M,)
    the place of the node's voltage in `kept_v`, or −1.
    """
    node, column, rows, push_a = net.node, net.column, net.row, net.push_a
    kind, each = law.kind, law.each
    run_a, run_v, run_pixel = tally.run_a, tally.run_v, tally.run_pixel
    pixels_w, lacking, kept_v = tally.pixels_w, tally.short, tally.kept_v
    size, runs, slots = len(node), run_a.shape[1], kept_v.shape[1]
    pixels, wide = code.shape[1], code.shape[2]
    first = np.empty(LANES, dtype=np.int64)
    x, full_a = np.empty((2, size, LANES))
    for group in range(len(run_a)):
        # Lanes without a frame of their own repeat the last one.
        for b in range(LANES):
            first[b] = min(group * LANES + b, len(code) - 1) * pixels * wide
        for k in range(size):
            this = every(push_a[k])
            if run[k] >= 0:
                four = gathered(code, first, node[k] * wide)
                more = gathered(code, first, node[k] * wide + wide - 1)
                full = full_of(kind_of(each, kind[node[k]]), four, more)
                put(full_a, k, full)
                this -= full
            put(x, k, this)
        ahead = every(0.0)
        for k in range(size):
            this = row(x, k) - ahead
            put(x, k, this)
            ahead = every(0.0)
            for i in range(column[k], column[k + 1]):
                if rows[i] == k + 1:
                    ahead = fixed_entry[i] * this
                else:
                    put(x, rows[i], row(x, rows[i]) - fixed_entry[i] * this)
        v, watts = every(0.0), every(0.0)
        enough = every(0.0) == 0.0
        now, amps, low, which = -1, every(0.0), every(np.inf), every(0.0)
        for k in range(size - 1, -1, -1):
            behind = v
            v = row(x, k) * fixed_diagonal[k]
            for i in range(column[k], column[k + 1]):
                if rows[i] == k + 1:
                    v -= fixed_entry[i] * behind
                else:
                    v -= fixed_entry[i] * row(x, rows[i])
            put(x, k, v)
            if slot[k] >= 0:
                put(kept_v, group * slots + slot[k], v)
            if run[k] < 0:
                continue
            if run[k] != now:
                if now >= 0:
                    at = group * runs + now
                    put(run_a, at, amps)
                    put(run_v, at, low)
                    put(run_pixel, at, which)
                now = run[k]
                at = group * runs + now
                amps, low, which = row(run_a, at), row(run_v, at), row(run_pixel, at)
            full = row(full_a, k)
            amps += full
            watts += full * v
            enough = both(enough, v >= kind_of(each, kind[node[k]]).flat_v)
            # Of equally low ones the first pixel of the run.
            number = every(float(node[k]))
            lower = either(v < low, both(v == low, number < which))
            which = chosen(lower, number, which)
            low = least(v, low)
        if now >= 0:
            at = group * runs + now
            put(run_a, at, amps)
            put(run_v, at, low)
            put(run_pixel, at, which)
        put(pixels_w, group, row(pixels_w, group) + watts)
        put(lacking, group, most(row(lacking, group), chosen(enough, every(0.0), every(1.0))))


@njit(cache=True, nogil=True, error_model="numpy")
def changes(code: Array, out: Array) -> None:
    """`out` (T,) bool: the frame of `code` (T, N, W) is another than the one before it.

    The first always is.
    """
    for t in range(len(code)):
        same, n = t > 0, 0
        while same and n < code.shape[1]:
            for w in range(code.shape[2]):
                same = same and code[t, n, w] == code[t - 1, n, w]
            n += 1
        out[t] = not same
