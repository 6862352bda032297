"""Draws of two houses side by side, of which some parts are the same.

Where one house is compared with itself changed, what both have in common is off by the same in
both: a supply 2 % high is 2 % high under either kind of pixel. Such parts get the same values draw
by draw, so that they cancel in a difference; all else gets values of its own.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from zlib import crc32

import numpy as np

from layouts.catalogue import spread_factors
from layouts.records import House

from .draws import Draws, common_draws, own_chances
from .first_order import FirstOrder
from .shapes import quantile
from .unknowns import Unknowns

#: A part of a house: of which scope, and its name.
Part = tuple[str, str]


def shared_parts(known: Sequence[Unknowns]) -> frozenset[Part]:
    """The parts that all of these houses have, and have alike."""
    each = [frozenset(_parts(one).items()) for one in known]
    return frozenset(part for part, _ in frozenset.intersection(*each))


def _parts(known: Unknowns) -> dict[Part, object]:
    """Every part, and what makes it the one it is."""
    house = known.house
    made: dict[Part, object] = {("wire", size): size for size in known.sizes}
    for supply in house.supplies:
        made["supply", supply.name] = (supply.volts, supply.rated_a)
    for index, reel in enumerate(known.reels):
        made["reel", reel] = _runs(house, known.reel_of == index)
    return made


def _runs(house: House, mine: np.ndarray) -> tuple[tuple[str, str], ...]:
    return tuple(
        (run.name, run.kind.name) for run, is_ in zip(house.runs, mine, strict=True) if is_
    )


def own_seed(seed: int, whose: str) -> int:
    """The seed of what is not shared; `whose` tells one house from another."""
    return crc32(f"{seed} {whose}".encode())


def paired_common(
    known: Unknowns,
    count: int,
    seed: int,
    whose: str,
    shared: Collection[Part],
    first: int = 0,
) -> np.ndarray:
    """(count, U): shared parts as in every other house, the rest as in no other."""
    scopes = {name: row.scope for name, row in spread_factors().items()}
    same = np.array([(scopes[each.factor], each.part) in shared for each in known.common], bool)
    together = common_draws(known, count, seed, first)
    apart = common_draws(known, count, own_seed(seed, whose), first)
    return np.where(same, together, apart)


def paired_draws(
    known: Unknowns,
    count: int,
    seed: int,
    whose: str,
    shared: Collection[Part],
    first: int = 0,
) -> Draws:
    """The same with what every pixel has of its own, for the exact circuit."""
    own = own_seed(seed, whose)
    chances = own_chances(own, "current_each", first, count, len(known.house.pixels))
    common = paired_common(known, count, seed, whose, shared, first)
    return Draws(known, own, first, common, quantile(known.current_each, chances))


def paired_sums(
    found: FirstOrder, count: int, seed: int, whose: str, shared: Collection[Part]
) -> np.ndarray:
    """(count, K) of sums of effects, without a draw through the circuit."""
    generator = np.random.default_rng([own_seed(seed, whose), 7])
    common = paired_common(found.known, count, seed, whose, shared)
    return found.sums(common, generator.standard_normal((count, 1)))
