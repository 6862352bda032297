"""The highest master brightness at which nothing exceeds its limit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np

from .build import Network
from .limits import limit_bound, limit_name, utilisation
from .loads import Loads, loads

#: The bracket is halved this often: finer than one step of an 8-bit code.
_HALVINGS = 10


@dataclass(frozen=True)
class Ceiling:
    """The highest brightness 0..1, and what stops it there; "" where full brightness is fine."""

    brightness: float
    limit: str
    bound: str = ""  # how much that may bear, in words with its number
    # how far full brightness goes towards the limit it comes nearest to; above 1: past it
    at_full: float = field(default=0.0, compare=False)


def bracket(
    network: Network, codes_at: Callable[[float], np.ndarray], high: float = 1.0
) -> Ceiling:
    """The ceiling for the frames that `codes_at(brightness)` gives, (T, N, C) uint8 each.

    Found on the true circuit by halving [0, high]; the result itself was tried and keeps every
    limit, unless it is 0: then even a dark house exceeds one. That is tried first, since some
    faults show in the dark alone: a supply pushed by another, while no pixel takes the current.
    """

    def worst(brightness: float) -> tuple[float, tuple[Loads, int, int]]:
        seen = loads(network, codes_at(brightness))
        used = utilisation(network, seen)
        column = int(used.max(axis=0).argmax())
        frame = int(used[:, column].argmax())
        return float(used[frame, column]), (seen, frame, column)

    def held(brightness: float, past: tuple[Loads, int, int], at_full: float) -> Ceiling:
        name = limit_name(network, past[2])
        return Ceiling(brightness, name, limit_bound(network, *past), at_full)

    used, past = worst(0.0)
    if used > 1:
        return held(0.0, past, 0.0)
    most, past = worst(high)
    if most <= 1:
        return Ceiling(high, "")
    at_full, low = most if high == 1 else 0.0, 0.0
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        used, here = worst(middle)
        if used <= 1:
            low = middle
        else:
            high, past = middle, here
    return held(low, past, at_full)


def critical_frames(network: Network, watched: Loads) -> np.ndarray:
    """The frames that come nearest to each limit: enough to search with, without repeats."""
    return np.unique(utilisation(network, watched).argmax(axis=0))


def exceeds(network: Network, watched: Loads) -> bool:
    """Whether any frame goes past a limit by more than rounding."""
    return bool((utilisation(network, watched) > 1 + 1e-6).any())
