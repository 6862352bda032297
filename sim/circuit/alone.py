"""A few frames of a small house without compiled code.

Loading the compiler and what it compiled takes half a second. To solve some hundred equations for
currents that do not depend on the voltage takes milliseconds as plain numbers, and most of what a
house is checked for needs no more. The steps are those of `sim.circuit.elimination`, in the same
order, so it is the same answer.

Whether work is done here is asked of the work and of numba alone. One frame always is: its compiled
code works on LANES frames at once, so that one takes nearly as long there, and takes as long to
load as hundreds of frames take here.
"""

from __future__ import annotations

from math import inf
from typing import TYPE_CHECKING

import numpy as np

from sim.kernels import asleep

from .law import LONGEST, Law
from .pattern import Pattern

if TYPE_CHECKING:
    from .build import Network

#: So many numbers are worked out here at the most: columns of a network times frames.
_MOST = 3_000


def is_small(columns: int) -> bool:
    """Whether a network with so many columns is factored, or solved once with factors, here."""
    return columns <= _MOST and asleep()


def are_few(columns: int, frames: int) -> bool:
    """Whether so many frames of a network with so many columns are worked out here."""
    return columns * frames <= _MOST and (frames == 1 or asleep())


def factored(net: Pattern) -> tuple[np.ndarray, np.ndarray]:
    """1/D (M,) and L (Z,) of L·D·Lᵀ, as `alone_kernel.factor_alone` gives them."""
    diagonal, entry = net.diagonal_s.tolist(), net.entry_s.tolist()
    column, row = net.column.tolist(), net.row.tolist()
    product, target = net.product.tolist(), net.target.tolist()
    for k in range(len(diagonal)):
        inverse = diagonal[k] = 1.0 / diagonal[k] if diagonal[k] else inf
        p, end = product[k], column[k + 1]
        for i in range(column[k], end):
            this = entry[i]
            for j in range(i + 1, end):
                entry[target[p + j - i]] -= this * entry[j] * inverse
            p += end - i
            scaled = this * inverse
            diagonal[row[i]] -= this * scaled
            entry[i] = scaled
    return np.array(diagonal), np.array(entry)


def substituted(
    net: Pattern, inverse: np.ndarray, factors: np.ndarray, given: np.ndarray
) -> np.ndarray:
    """(M,) the answer for the right-hand side `given` (M,), as `substitute_fixed` gives it."""
    count = np.diff(net.column)
    of = np.repeat(np.arange(len(count)), count)
    x, entry, row = given.tolist(), factors.tolist(), net.row.tolist()
    for k, at, factor in zip(of.tolist(), row, entry, strict=True):
        x[at] -= factor * x[k]
    # Back from the last column, but each column from its first entry on, as compiled code does.
    back = np.argsort(-of, kind="stable")
    x = (np.array(x) * inverse).tolist()
    columns, rows, entries = of[back].tolist(), net.row[back].tolist(), factors[back].tolist()
    for k, at, factor in zip(columns, rows, entries, strict=True):
        x[k] -= factor * x[at]
    return np.array(x)


def full_a(law: Law, codes: np.ndarray) -> np.ndarray:
    """(T, N) [A] that pixels draw with enough voltage at codes (T, N, C): `law_table.full_of`."""
    of = law.kind
    idle = (law.idle_a * law.idle_v[:, 2])[of]
    each = codes * (law.amps / 255 * law.most)[of]
    c0, c1, c2, c3 = np.moveaxis(each[..., :4], -1, 0)
    added = (c0 + c1) + (c2 + c3)
    longest = np.maximum(np.maximum(c0, c1), np.maximum(c2, c3))
    together = np.minimum(added, (255.0 * (law.amps / 255).max(axis=1))[of])
    how = law.one_current[of]
    full = np.where(how == 0, idle + added, idle + np.where(how == LONGEST, longest, together))
    for more in range(4, law.channels):  # such a kind has no current in common
        full = full + each[..., more]
    return np.asarray(full)


def frames_in_full(
    network: Network, codes: np.ndarray, node_v: np.ndarray, amps: np.ndarray
) -> bool:
    """Fill in `node_v` and `amps` (T, N) for codes (T, N, C); False where some pixel is starved.

    What is filled in then means nothing.
    """
    law = network.live_law
    drawn, flat_v = full_a(law, codes), law.flat_v[law.kind]
    for part in network.parts:
        node = part.pattern.node
        pixel = node < network.pixels
        here = node[pixel]
        for frame, taken in enumerate(drawn):
            given = part.pattern.push_a.copy()
            given[pixel] -= taken[here]
            node_v[frame, node] = substituted(part.pattern, part.inverse, part.entry, given)
        amps[:, here] = drawn[:, here]
        if (node_v[:, here] < flat_v[here]).any():
            return False
    return True
