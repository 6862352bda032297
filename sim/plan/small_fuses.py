"""Fuses no larger than the supply they hang on, where that costs next to nothing.

A supply that gives less than a fuse carries never opens it: the fuse then keeps the wire, and a
short is up to the supply itself. Where a wiring that costs about the same has smaller fuses, it is
taken.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from .fed import Proposal
from .proposal import Infeasible
from .records import Market

#: So much dearer, as a share of the price, a wiring with smaller fuses may be; a choice.
_DEARER = 0.01


def least_rated_a(made: Proposal) -> float | None:
    """[A] of the smallest supply that is bought and has a fuse larger than itself; None: none."""
    found = []
    for fed in made.fed:
        fuses = dict(zip((f.pad for f in fed.plan.feeds), fed.verdict.fuse, strict=True))
        trunks = {pad: trunk.fuse for trunk in fed.plan.trunks for pad in trunk.pads}
        for feed in fed.plan.feeds:
            supply = made.market.supplies[feed.supply]
            fuse = max(fuses[feed.pad], trunks.get(feed.pad, 0))
            if not supply.existing and made.market.fuses[fuse].rating_a > supply.rated_a:
                found.append(supply.rated_a)
    return min(found, default=None)


def with_small_fuses(
    made: Proposal, market: Market, propose: Callable[[Market], Proposal]
) -> Proposal:
    """`made`, or what `propose(market)` finds with smaller fuses if that costs about the same."""
    most_a = least_rated_a(made)
    if most_a is None:
        return made
    smaller = tuple(each for each in market.fuses if each.rating_a <= most_a)
    if not smaller:
        return made
    try:
        other = propose(replace(market, fuses=smaller))
    except Infeasible:
        return made
    if other.price > (1 + _DEARER) * made.price or least_rated_a(other) is not None:
        return made
    return replace(other, lower_bound=min(made.lower_bound, other.price))
