"""A few frames of a small house without compiled code.

Loading the compiler and what it compiled takes half a second. To solve some hundred equations for
currents that do not depend on the voltage takes milliseconds as plain numbers, and most of what a
house is checked for needs no more. The steps are those of `sim.circuit.elimination`, in the same
order, so it is the same answer. Where much is solved, loading soon pays: only the first few frames
of a process are worked out here, such as the one of a single picture.
"""

from __future__ import annotations

from itertools import count
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


#: Once numba is imported, so many times more.
_FIRST = 8
_asked = count()


def is_small(columns: int, frames: int = 1) -> bool:
    """Whether so many frames of a network with so many columns are worked out here."""
    return columns * frames <= _MOST and (asleep() or next(_asked) < _FIRST)


def factored(net: Pattern) -> tuple[np.ndarray, np.ndarray]:
    """1/D (M,) and L (Z,) of L·D·Lᵀ, as `elimination.factor_alone` gives them."""
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
    x, diagonal, entry = given.tolist(), inverse.tolist(), factors.tolist()
    column, row = net.column.tolist(), net.row.tolist()
    for k, this in enumerate(x):  # which reads what was changed
        for i in range(column[k], column[k + 1]):
            x[row[i]] -= entry[i] * this
    for k in range(len(x) - 1, -1, -1):
        this = x[k] * diagonal[k]
        for i in range(column[k], column[k + 1]):
            this -= entry[i] * x[row[i]]
        x[k] = this
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
