"""L·D·Lᵀ of a network on its elimination order, for many frames at once; compiled.

Frames stand side by side in the last axis, LANES of them, so that one pass over the nodes serves
them all and the processor's vector units work across frames.

What is compiled here ends up inside `kernel`; the cache of `sim.kernels` looks at both files.
"""

from __future__ import annotations

import numpy as np

from sim.kernels import njit

from .lanes import LANES as LANES
from .lanes import every, put, row
from .pattern import Pattern as Pattern

Array = np.ndarray


@njit(cache=True, nogil=True, error_model="numpy")
def factor(net: Pattern, diagonal: Array, entry: Array) -> None:
    """L·D·Lᵀ with ones on the diagonal of L: `diagonal` becomes 1/D, `entry` L."""
    for e in range(len(net.row)):
        put(entry, e, every(net.entry_s[e]))
    factor_lanes(net, diagonal, entry)


@njit(cache=True, inner=True, nogil=True, error_model="numpy")
def factor_lanes(net: Pattern, diagonal: Array, entry: Array) -> None:
    """`factor` of numbers that every lane has of its own: (M, lanes) and (Z, lanes), in place."""
    # What the next node gets from this one goes there in registers: most nodes lie in a line.
    ahead = every(0.0)
    for k in range(len(net.node)):
        inverse = 1.0 / (row(diagonal, k) - ahead)
        put(diagonal, k, inverse)
        ahead = every(0.0)
        p = net.product[k]
        end = net.column[k + 1]
        for i in range(net.column[k], end):
            this = row(entry, i)
            scaled = this * inverse
            # Later entries of the column are still undivided when the products are made.
            for j in range(i + 1, end):
                into = net.target[p + j - i]
                put(entry, into, row(entry, into) - scaled * row(entry, j))
            p += end - i
            at = net.row[i]
            if at == k + 1:
                ahead = this * scaled
            else:
                put(diagonal, at, row(diagonal, at) - this * scaled)
            put(entry, i, scaled)


@njit(cache=True, nogil=True, error_model="numpy")
def substitute(net: Pattern, diagonal: Array, entry: Array, x: Array) -> None:
    """Solve for x in place with the factors of `factor`."""
    ahead = every(0.0)
    for k in range(len(net.node)):
        this = row(x, k) - ahead
        put(x, k, this)
        ahead = every(0.0)
        for i in range(net.column[k], net.column[k + 1]):
            at = net.row[i]
            if at == k + 1:
                ahead = row(entry, i) * this
            else:
                put(x, at, row(x, at) - row(entry, i) * this)
    this = every(0.0)
    for k in range(len(net.node) - 1, -1, -1):
        behind = this
        this = row(x, k) * row(diagonal, k)
        for i in range(net.column[k], net.column[k + 1]):
            at = net.row[i]
            if at == k + 1:
                this -= row(entry, i) * behind
            else:
                this -= row(entry, i) * row(x, at)
        put(x, k, this)


@njit(cache=True, nogil=True, error_model="numpy")
def substitute_fixed(net: Pattern, diagonal: Array, entry: Array, x: Array) -> None:
    """The same with one set of factors, (M,) and (Z,), for every lane."""
    ahead = every(0.0)
    for k in range(len(net.node)):
        this = row(x, k) - ahead
        put(x, k, this)
        ahead = every(0.0)
        for i in range(net.column[k], net.column[k + 1]):
            at = net.row[i]
            if at == k + 1:
                ahead = entry[i] * this
            else:
                put(x, at, row(x, at) - entry[i] * this)
    this = every(0.0)
    for k in range(len(net.node) - 1, -1, -1):
        behind = this
        this = row(x, k) * diagonal[k]
        for i in range(net.column[k], net.column[k + 1]):
            at = net.row[i]
            if at == k + 1:
                this -= entry[i] * behind
            else:
                this -= entry[i] * row(x, at)
        put(x, k, this)
