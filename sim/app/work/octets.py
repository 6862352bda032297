"""How much memory the arrays of a record take, so that what is kept can be bounded by it."""

from __future__ import annotations

import numpy as np


def octets(*records: object) -> int:
    """All arrays in records, tuples and mappings, however deep; each buffer once [octets]."""
    seen: set[int] = set()
    found, waiting = 0, list(records)
    while waiting:
        one = waiting.pop()
        if isinstance(one, np.ndarray) and isinstance(one.base, np.ndarray):
            one = one.base  # a view keeps all of what it looks at
        if id(one) in seen or isinstance(one, type):
            continue
        seen.add(id(one))
        if isinstance(one, np.ndarray):
            found += one.nbytes
        elif isinstance(one, list | tuple | set | frozenset):
            waiting += one
        elif isinstance(one, dict):
            waiting += one.values()
        elif hasattr(one, "__dict__"):
            waiting += vars(one).values()
    return found
