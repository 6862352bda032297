"""The straight legs of a run, and the angle of the saw where two of them meet."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

#: Less of a turn is a bend of the drawing, not a corner of the house.
_STRAIGHT_DEG = 1.0
#: More of a turn doubles back: there a channel ends and another begins.
_BACK_DEG = 150.0


@dataclass(frozen=True)
class Leg:
    """One straight stretch; angles [°] from a square cut at its start and end."""

    length_m: float
    start_deg: float
    end_deg: float
    start_free: bool  # nothing joins there: an end cap
    end_free: bool


def legs(path_m: np.ndarray) -> tuple[Leg, ...]:
    """The legs of a path (K, 2) [m]. The mitre at a corner is half the angle it turns by.

    Both pieces cut at half the turn meet flush, whatever way the corner points.
    """
    steps = np.diff(path_m, axis=0)
    lengths = np.hypot(*steps.T)
    straight: list[tuple[float, float]] = []  # heading [°], length [m]
    for step, length in zip(steps[lengths > 0], lengths[lengths > 0], strict=True):
        heading = math.degrees(math.atan2(step[1], step[0]))
        if straight and _turn_deg(straight[-1][0], heading) < _STRAIGHT_DEG:
            straight[-1] = (straight[-1][0], straight[-1][1] + float(length))
        else:
            straight.append((heading, float(length)))
    corners = (mitre_deg(one[0], other[0]) for one, other in pairwise(straight))
    mitres = [None, *corners, None]
    return tuple(
        Leg(length, start or 0.0, end or 0.0, start is None, end is None)
        for (_, length), start, end in zip(straight, mitres[:-1], mitres[1:], strict=True)
    )


def mitre_deg(one: float, other: float) -> float | None:
    """Half the turn [°] from one heading to another; None: in line, or one that doubles back."""
    turn = _turn_deg(one, other)
    return turn / 2 if _STRAIGHT_DEG <= turn < _BACK_DEG else None


def _turn_deg(one: float, other: float) -> float:
    return abs((other - one + 180) % 360 - 180)
