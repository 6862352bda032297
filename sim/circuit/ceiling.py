"""The highest master brightness at which nothing exceeds its limit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from .build import Network
from .limits import limit_name, utilisation
from .loads import Loads, loads

#: The bracket is halved this often: finer than one step of an 8-bit code.
_HALVINGS = 10


@dataclass(frozen=True)
class Ceiling:
    """The highest brightness 0..1, and what stops it there; "" where full brightness is fine."""

    brightness: float
    limit: str


def bracket(
    network: Network, codes_at: Callable[[float], np.ndarray], high: float = 1.0
) -> Ceiling:
    """The ceiling for the frames that `codes_at(brightness)` gives, (T, N, C) uint8 each.

    Found on the true circuit by halving [0, high]; the result itself was tried and keeps every
    limit, unless it is 0: then even a dark house exceeds one. That is tried first, since some
    faults show in the dark alone: a supply pushed by another, while no pixel takes the current.
    """

    def worst(brightness: float) -> tuple[float, int]:
        per_limit = utilisation(network, loads(network, codes_at(brightness))).max(axis=0)
        return float(per_limit.max()), int(per_limit.argmax())

    used, column = worst(0.0)
    if used > 1:
        return Ceiling(0.0, limit_name(network, column))
    used, column = worst(high)
    if used <= 1:
        return Ceiling(high, "")
    low, limit = 0.0, column
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        used, column = worst(middle)
        if used <= 1:
            low = middle
        else:
            high, limit = middle, column
    return Ceiling(low, limit_name(network, limit))


def critical_frames(network: Network, watched: Loads) -> np.ndarray:
    """The frames that come nearest to each limit: enough to search with, without repeats."""
    return np.unique(utilisation(network, watched).argmax(axis=0))


def exceeds(network: Network, watched: Loads) -> bool:
    """Whether any frame goes past a limit by more than rounding."""
    return bool((utilisation(network, watched) > 1 + 1e-6).any())
