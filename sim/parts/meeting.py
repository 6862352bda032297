"""Where the channels of two runs meet at a corner, and the angle of the saw there.

A ridge is a corner whether one run goes over it or two end at it. Two ends make one where they lie
together, at the same distance from the wall, in the same channel aimed alike: cut at half the turn
they close. Of three ends at one spot none is cut: which two belong together is not said.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np

from layouts.records import Run
from sim.parts.legs import Leg, legs, mitre_deg

#: Ends lie together within a pitch of the pixels; more than so much is a gap in any channel [m]
#: [common practice, no source].
_TOGETHER_M = 0.05


@dataclass(frozen=True)
class _ChannelEnd:
    """One end of a run: where it is [m] with the distance from the wall, and the way [°] out."""

    run: int
    at_start: bool
    place_m: tuple[float, float, float]
    out_deg: float


def legs_of(runs: Sequence[Run]) -> Mapping[str, tuple[Leg, ...]]:
    """The legs of every run by its name; ends that meet another are mitred and bear no cap."""
    found = [list(legs(run.path_m)) for run in runs]
    for (run, at_start), degrees in _mitres(runs).items():
        own = found[run]
        if at_start:
            own[0] = replace(own[0], start_deg=degrees, start_free=False)
        else:
            own[-1] = replace(own[-1], end_deg=degrees, end_free=False)
    return {run.name: tuple(own) for run, own in zip(runs, found, strict=True)}


def _mitres(runs: Sequence[Run]) -> dict[tuple[int, bool], float]:
    """The angle [°] by run and whether it is the start, of ends that meet exactly one other."""
    ends = [end for number, run in enumerate(runs) for end in _ends(number, run)]
    pairs = [(a, b) for a, b in combinations(ends, 2) if _together(runs, a, b)]
    met = Counter((end.run, end.at_start) for pair in pairs for end in pair)
    found = {}
    for one, other in pairs:
        # Coming out of one and going into the other, straight on is a turn of nothing.
        degrees = mitre_deg(one.out_deg, other.out_deg + 180)
        both = ((one.run, one.at_start), (other.run, other.at_start))
        if degrees and all(met[end] == 1 for end in both):
            found.update(dict.fromkeys(both, degrees))
    return found


def _ends(number: int, run: Run) -> tuple[_ChannelEnd, ...]:
    steps = np.diff(run.path_m, axis=0)
    steps = steps[np.hypot(*steps.T) > 0]
    return tuple(
        _ChannelEnd(
            number,
            at_start,
            (float(spot[0]), float(spot[1]), run.standoff_m),
            math.degrees(math.atan2(way[1], way[0])),
        )
        for at_start, spot, way in (
            (True, run.path_m[0], -steps[0]),
            (False, run.path_m[-1], steps[-1]),
        )
    )


def _together(runs: Sequence[Run], one: _ChannelEnd, other: _ChannelEnd) -> bool:
    a, b = runs[one.run], runs[other.run]
    near_m = min(max(a.pitch_m, b.pitch_m), _TOGETHER_M)
    return (
        a.profile.name == b.profile.name
        and a.aim == b.aim
        and math.dist(one.place_m, other.place_m) <= near_m + 1e-9
    )
