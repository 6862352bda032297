"""Proposed boxes numbered without a gap, in the order of the supplies that hang in them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from .market import Box
from .proposal import Proposal
from .routing import CableNet


def numbered(
    made: Proposal, boxes: Sequence[Box], net: CableNet
) -> tuple[Proposal, tuple[Box, ...], CableNet]:
    """The same with the first numbers on the boxes that are used, so that box 1 holds supply 1."""
    names = [box.name for box in boxes if box.proposed]
    hung = (made.market.supplies[unit.choice].place for unit in made.units)
    order = dict.fromkeys((*(place for place in hung if place in names), *names))
    new = dict(zip(order, names, strict=True))
    supplies = tuple(
        replace(each, place=new.get(each.place, each.place)) for each in made.market.supplies
    )
    return (
        replace(made, market=replace(made.market, supplies=supplies)),
        tuple(replace(box, name=new.get(box.name, box.name)) for box in boxes),
        replace(net, boxes=tuple(new.get(name, name) for name in net.boxes)),
    )
