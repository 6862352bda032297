"""Whether the wires of a plan fit beside the pixels in the channels they lie along."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from layouts.finding import Finding, Remedy
from layouts.records import House, Run

from .bay_room import outer_mm
from .fed import Proposal
from .laid import laid
from .routing import CableNet

#: Overlaps shorter than this [m] are where a wire leaves the channel.
_SHORT_M = 0.05

#: On a run, from and to [m], and the copper [mm²] of one conductor.
_Lying = tuple[float, float, float]


def bay_findings(house: House, made: Proposal, net: CableNet) -> tuple[Finding, ...]:
    """Code `wire-bay`: for each run the fullest stretch that holds more than its channel's bay.

    Round wires lie in rows and columns, so each takes the square of its diameter, and none fits
    that is wider than the bay's narrower side. What was wired before lies nobody knows where and
    is not counted.
    """
    lying = _lying(house, made, net)
    return tuple(
        finding
        for number, run in enumerate(house.runs)
        if run.profile.wire_bay_mm is not None
        for finding in _of_run(run, lying.get(number, []), house.units)
    )


def _lying(house: House, made: Proposal, net: CableNet) -> dict[int, list[_Lying]]:
    """What lies along each run, by its number."""
    found: dict[int, list[_Lying]] = {}
    for wire in laid(house, made, net):
        for track, start_m, end_m in net.stretches(wire.box, wire.run, wire.along_m):
            if track < len(house.runs) and abs(end_m - start_m) > _SHORT_M:
                low, high = sorted((start_m, end_m))
                area = made.market.wires[wire.wire].area_mm2
                found.setdefault(track, []).append((low, high, area))
    return found


def _of_run(run: Run, lying: list[_Lying], units: str) -> Iterator[Finding]:
    assert run.profile.wire_bay_mm is not None
    width, height = run.profile.wire_bay_mm
    if not lying:
        return
    stops = np.unique(np.round([m for low, high, _ in lying for m in (low, high)], 6))
    used = np.zeros(len(stops) - 1)
    wide = np.zeros(len(stops) - 1, dtype=bool)
    for low, high, area in lying:
        here = (stops[:-1] >= low - 1e-6) & (stops[1:] <= high + 1e-6)
        across = outer_mm(area)
        used[here] += 2 * across**2
        wide[here] |= across > min(width, height)
    over = (used > width * height + 1e-9) | wide
    if not over.any():
        return
    worst = int(np.where(over, used, -1.0).argmax())
    first = last = worst
    while first > 0 and over[first - 1]:
        first -= 1
    while last + 1 < len(over) and over[last + 1]:
        last += 1
    yield Finding(
        "warning",
        "wire-bay",
        run.name,
        value=float(used[worst]),
        limit=width * height,
        unit="mm²",
        remedies=(Remedy("thinner-wire", run.name), Remedy("roomier-profile", run.name)),
        detail={
            "start_m": float(stops[first]),
            "end_m": float(stops[last + 1]),
            "profile": run.profile.name,
            "wide": bool(wide[first : last + 1].any()),
            "side_mm": float(min(width, height)),
            "units": units,
        },
    )
