"""Where supplies can hang: the house's places, or spots proposed near its runs."""

from __future__ import annotations

import numpy as np

from layouts.errors import EvenfallError
from layouts.records import House, Run

from .market import Box

#: Proposed boxes are at least this far apart [m], and hang so far below what they feed.
_APART_M, _BELOW_M = 3.0, 0.6


def boxes_of(house: House, runs: list[Run], amps: np.ndarray) -> tuple[list[Box], tuple[str, ...]]:
    """The boxes supplies can hang in for `runs`, and remarks on places that cannot be used.

    `amps` (N,) [A] of every pixel says where boxes are proposed if the house names no place.
    Raises EvenfallError where it names places and none has mains.
    """
    if house.places:
        usable = [place for place in house.places if place.mains]
        remarks = tuple(
            f"place {place.name} has no mains: no supply hangs there"
            for place in house.places
            if not place.mains
        )
        if not usable:
            raise EvenfallError(
                "none of the house's places has mains; a supply needs a socket: write mains: true "
                "where there is one"
            )
        return [Box(p.name, p.xy_m, p.sheltered) for p in usable], remarks
    return _proposed(house, runs, amps), (
        "the house names no places: boxes are proposed near the runs, and each needs a mains point "
        "put in by a licensed electrician",
    )


def _proposed(house: House, runs: list[Run], amps: np.ndarray) -> list[Box]:
    """One spot below the middle of what each run draws; runs beside each other share one."""
    taken = {supply.name for supply in house.supplies} | {run.name for run in house.runs}
    spots: list[tuple[np.ndarray, float]] = []
    for run in sorted(runs, key=lambda each: -float(amps[each.pixels].sum())):
        own = amps[run.pixels]
        along = np.cumsum(own)
        middle = int(np.searchsorted(along, along[-1] / 2))
        spot = house.pixels.xy_m[run.first + middle] - (0.0, _BELOW_M)
        near = [n for n, (other, _) in enumerate(spots) if np.hypot(*(other - spot)) < _APART_M]
        if near:
            other, weight = spots[near[0]]
            total = weight + float(along[-1])
            spots[near[0]] = ((other * weight + spot * float(along[-1])) / total, total)
        else:
            spots.append((spot, float(along[-1])))
    boxes = []
    number = 0
    for spot, _ in sorted(spots, key=lambda each: float(each[0][0])):
        number += 1
        while f"box-{number}" in taken:
            number += 1
        x, y = np.round(np.maximum(spot, (-np.inf, 0.3)), 2).tolist()
        boxes.append(Box(f"box-{number}", (x, y), False, proposed=True))
    return boxes
