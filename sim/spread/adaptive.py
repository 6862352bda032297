"""How many draws are enough: blocks of them until the digits asked for hold.

JCGM 101:2008, 7.9: after every block the mean, the standard uncertainty and both ends of the
interval of each block are averaged; where twice the standard deviation of every average is below
the numerical tolerance, the result has stabilised. The tolerance is half the last of the digits of
the standard uncertainty that count (7.9.2). Whether first order would have done is clause 8, with
the same tolerance.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from .bands import COVERS, USUAL, Band, band, shortest, symmetric

#: Draws of a block where a model is cheap: 7.9.4 b takes the larger of this and 100/(1 − p).
BLOCK = 10_000


@dataclass(frozen=True, eq=False)
class Adaptive:
    """What draws of one figure came to, and whether its digits hold."""

    band: Band
    values: np.ndarray
    blocks: int
    tolerance: float
    held: bool


def tolerance(sd: float, digits: int) -> float:
    """Half of the last of `digits` significant digits of a standard uncertainty (7.9.2)."""
    if not sd > 0:
        return 0.0
    # To the digits first: 9.96 has two of them as 10, not as 9.9.
    power = int(f"{sd:.{digits - 1}e}".split("e")[1]) - digits + 1
    return 0.5 * 10.0**power


def spreads(
    blocks: Sequence[np.ndarray], share: float = USUAL, *, short: bool = False
) -> np.ndarray:
    """(4,) twice the standard deviation of the averages of mean, u, low and high over blocks."""
    found = []
    for values in blocks:
        ranked = np.sort(values)
        ends = shortest(ranked, share) if short else symmetric(ranked, share)
        found.append([values.mean(), values.std(ddof=1), *ends])
    table = np.array(found)
    return np.asarray(2 * table.std(axis=0, ddof=1) / np.sqrt(len(table)))


def held(
    blocks: Sequence[np.ndarray], digits: int, share: float = USUAL, *, short: bool = False
) -> bool:
    """Whether the digits hold (7.9.4 e to k); two blocks at least."""
    if len(blocks) < 2:
        return False
    sd = float(np.concatenate(list(blocks)).std(ddof=1))
    return bool((spreads(blocks, share, short=short) <= tolerance(sd, digits)).all())


def adaptive(
    model: Callable[[np.random.Generator, int], np.ndarray],
    *,
    digits: int = 2,
    seed: int = 0,
    share: float = USUAL,
    short: bool = False,
    block: int = BLOCK,
    most: int = 10_000_000,
) -> Adaptive:
    """Draw `model(generator, count)` → (count,) block by block until the digits hold.

    `short`: the shortest interval is what shall hold, else the symmetric one. Stops at `most`
    draws whatever holds, and says so.
    """
    size = max(block, int(np.ceil(100 / (1 - share) - 1e-9)))
    generator = np.random.default_rng(seed)
    blocks = [model(generator, size)]
    while not held(blocks, digits, share, short=short) and (len(blocks) + 1) * size <= most:
        blocks.append(model(generator, size))
    values = np.concatenate(blocks)
    found = band(values, share)
    return Adaptive(
        found,
        values,
        len(blocks),
        tolerance(found.sd, digits),
        held(blocks, digits, share, short=short),
    )


def first_order_does(
    value: float, sd: float, drawn: Band, digits: int = 2, cover: float = COVERS
) -> tuple[bool, float, float]:
    """Clause 8: whether both ends of value ± cover·sd are those of the draws within the tolerance.

    Also by how much each end differs.
    """
    low = abs(value - cover * sd - drawn.low)
    high = abs(value + cover * sd - drawn.high)
    most = tolerance(drawn.sd, digits)
    return bool(low <= most and high <= most), low, high
