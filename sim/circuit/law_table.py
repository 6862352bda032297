"""The pixel law as the compiled core reads it, and what pixels ask by it at full voltage.

Sums of four channels are written out, which is quickest; the fifth of a kind with two whites is
added after them, so that kinds of four and fewer are summed as if there were none.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from sim.kernels import njit

from .elimination import LANES, Array, Pattern


class LawTable(NamedTuple):
    """The pixel law as arrays; see `sim.circuit.law.Law`."""

    kind: np.ndarray  # (N,) int64
    idle_a: np.ndarray  # (K,)
    idle_v: np.ndarray  # (K, 3)
    flat_v: np.ndarray  # (K,)
    code_a: np.ndarray  # (K, C) [A] a step of the code
    vf_v: np.ndarray  # (K, C)
    headroom_v: np.ndarray  # (K, C)
    most: np.ndarray  # (K, C)
    channels: np.ndarray  # (K,) int64 how many there are to look at
    one_current: np.ndarray  # (K,) int64: 0 no, 1 the longest channel's, 2 all channels' together


@njit(cache=True, nogil=True, error_model="numpy")
def full_of(net: Pattern, law: LawTable, codes: Array, shown: Array, full_a: Array) -> None:
    """What every pixel draws with enough voltage."""
    for k in range(len(net.node)):
        pixel = net.node[k]
        if pixel >= len(law.kind):
            continue
        q = law.kind[pixel]
        idle = law.idle_a[q] * law.idle_v[q, 2]
        a0, a1, a2, a3 = (law.code_a[q] * law.most[q])[:4]
        together_a = 255.0 * law.code_a[q].max()
        for b in range(LANES):
            c0 = codes[shown[b], pixel, 0] * a0
            c1 = codes[shown[b], pixel, 1] * a1
            c2 = codes[shown[b], pixel, 2] * a2
            c3 = codes[shown[b], pixel, 3] * a3
            if law.one_current[q] == 0:
                full_a[k, b] = idle + (c0 + c1) + (c2 + c3)
            elif law.one_current[q] == 1:
                full_a[k, b] = idle + max(max(c0, c1), max(c2, c3))
            else:
                full_a[k, b] = idle + min((c0 + c1) + (c2 + c3), together_a)
        for c in range(4, law.channels[q]):  # such a kind has no current in common
            a = law.code_a[q, c] * law.most[q, c]
            for b in range(LANES):
                full_a[k, b] += codes[shown[b], pixel, c] * a


@njit(cache=True, nogil=True, error_model="numpy")
def demand_of(net: Pattern, law: LawTable, codes: Array, shown: Array, demand: Array) -> None:
    """The same without the idle current, channel by channel; a series pixel has one channel."""
    for k in range(len(net.node)):
        pixel = net.node[k]
        if pixel >= len(law.kind):
            continue
        q = law.kind[pixel]
        if law.one_current[q] != 0:
            a0, a1, a2, a3 = law.code_a[q, :4]
            together_a = 255.0 * law.code_a[q].max()
            for b in range(LANES):
                c0, c1 = codes[shown[b], pixel, 0] * a0, codes[shown[b], pixel, 1] * a1
                c2, c3 = codes[shown[b], pixel, 2] * a2, codes[shown[b], pixel, 3] * a3
                if law.one_current[q] == 1:
                    demand[k, 0, b] = max(max(c0, c1), max(c2, c3))
                else:
                    demand[k, 0, b] = min((c0 + c1) + (c2 + c3), together_a)
            continue
        for c in range(law.channels[q]):
            a = law.code_a[q, c]
            for b in range(LANES):
                demand[k, c, b] = codes[shown[b], pixel, c] * a
