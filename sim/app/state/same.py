"""Whether nothing is another than it was: told by what things are, not by what they hold."""

from __future__ import annotations

import operator
from collections.abc import Sequence


def same(one: Sequence[object], other: Sequence[object]) -> bool:
    """Whether both are the very same things in the same order."""
    return len(one) == len(other) and all(map(operator.is_, one, other))
