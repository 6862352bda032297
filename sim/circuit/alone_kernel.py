"""One network factored with its own numbers, without lanes; compiled.

Apart from `elimination`, because what lanes need of the compiler takes longer to import than this.
"""

from __future__ import annotations

import numpy as np

from sim.kernels import njit

from .pattern import Pattern

Array = np.ndarray


@njit(cache=True, nogil=True, error_model="numpy")
def factor_alone(net: Pattern, diagonal: Array, entry: Array) -> None:
    """`elimination.factor` for one set of numbers: (M,) and (Z,), given and changed in place."""
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
