"""L·D·Lᵀ of a network on its elimination order, for many frames at once; compiled.

Frames stand side by side in the last axis, LANES of them, so that one pass over the nodes serves
them all and the processor's vector units work across frames.

What is compiled here ends up inside `kernel`; the cache of `sim.kernels` looks at both files.
"""

from __future__ import annotations

import numpy as np

from sim.kernels import njit

from .pattern import Pattern as Pattern

Array = np.ndarray

#: Frames worked on side by side.
LANES = 16


@njit(cache=True, nogil=True, error_model="numpy")
def factor(net: Pattern, diagonal: Array, entry: Array) -> None:
    """L·D·Lᵀ with ones on the diagonal of L: `diagonal` becomes 1/D, `entry` L."""
    for e in range(len(net.row)):
        for b in range(LANES):
            entry[e, b] = net.entry_s[e]
    factor_lanes(net, diagonal, entry)


@njit(cache=True, nogil=True, error_model="numpy")
def factor_lanes(net: Pattern, diagonal: Array, entry: Array) -> None:
    """`factor` of numbers that every lane has of its own: (M, lanes) and (Z, lanes), in place."""
    for k in range(len(net.node)):
        for b in range(LANES):
            diagonal[k, b] = 1.0 / diagonal[k, b]
        p = net.product[k]
        end = net.column[k + 1]
        for i in range(net.column[k], end):
            # Later entries of the column are still undivided when the products are made.
            for j in range(i + 1, end):
                into = net.target[p + j - i]
                for b in range(LANES):
                    entry[into, b] -= entry[i, b] * entry[j, b] * diagonal[k, b]
            p += end - i
            at = net.row[i]
            for b in range(LANES):
                scaled = entry[i, b] * diagonal[k, b]
                diagonal[at, b] -= entry[i, b] * scaled
                entry[i, b] = scaled


@njit(cache=True, nogil=True, error_model="numpy")
def factor_alone(net: Pattern, diagonal: Array, entry: Array) -> None:
    """`factor` for one set of numbers, without lanes: (M,) and (Z,), given and changed in place."""
    for k in range(len(net.node)):
        diagonal[k] = 1.0 / diagonal[k]
        p = net.product[k]
        end = net.column[k + 1]
        for i in range(net.column[k], end):
            for j in range(i + 1, end):
                entry[net.target[p + j - i]] -= entry[i] * entry[j] * diagonal[k]
            p += end - i
            scaled = entry[i] * diagonal[k]
            diagonal[net.row[i]] -= entry[i] * scaled
            entry[i] = scaled


@njit(cache=True, nogil=True, error_model="numpy")
def substitute(net: Pattern, diagonal: Array, entry: Array, x: Array) -> None:
    """Solve for x in place with the factors of `factor`."""
    for k in range(len(net.node)):
        for i in range(net.column[k], net.column[k + 1]):
            at = net.row[i]
            for b in range(LANES):
                x[at, b] -= entry[i, b] * x[k, b]
    for k in range(len(net.node) - 1, -1, -1):
        for b in range(LANES):
            x[k, b] *= diagonal[k, b]
        for i in range(net.column[k], net.column[k + 1]):
            at = net.row[i]
            for b in range(LANES):
                x[k, b] -= entry[i, b] * x[at, b]


@njit(cache=True, nogil=True, error_model="numpy")
def substitute_fixed(net: Pattern, diagonal: Array, entry: Array, x: Array) -> None:
    """The same with one set of factors, (M,) and (Z,), for every lane."""
    for k in range(len(net.node)):
        for i in range(net.column[k], net.column[k + 1]):
            at = net.row[i]
            for b in range(LANES):
                x[at, b] -= entry[i] * x[k, b]
    for k in range(len(net.node) - 1, -1, -1):
        for b in range(LANES):
            x[k, b] *= diagonal[k]
        for i in range(net.column[k], net.column[k + 1]):
            at = net.row[i]
            for b in range(LANES):
                x[k, b] -= entry[i] * x[at, b]
