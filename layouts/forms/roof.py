"""The geometry of roofs: where the edge, the knee and the ridge are. Lengths in metres.

The eave is the lower edge of the fascia, as far out as the roof overhangs; everything follows from
there: over a horizontal run r a roof of pitch p (rise over run) rises p·r, and its rafter is
r·√(1 + p²) long.
"""

from __future__ import annotations

import itertools
import math

#: Where the lower slope of a gambrel ends, as a share of the half span, and how steep it is:
#: the proportions are our choice [common practice, no source].
KNEE_SHARE = 0.27
KNEE_PITCH = math.tan(math.radians(60))

Place = tuple[float, float]


def gable(left: float, right: float, eave: float, pitch: float) -> list[Place]:
    """Lower edge of both rakes: tip, ridge, tip."""
    middle = (left + right) / 2
    return [(left, eave), (middle, eave + pitch * (right - left) / 2), (right, eave)]


def gambrel(left: float, right: float, eave: float, pitch: float) -> list[Place]:
    """Lower edge of both rakes: tip, knee, ridge, knee, tip; `pitch` is that of the upper part."""
    half = (right - left) / 2
    out = KNEE_SHARE * half
    knee = eave + KNEE_PITCH * out
    ridge = knee + pitch * (half - out)
    middle = (left + right) / 2
    return [(left, eave), (left + out, knee), (middle, ridge), (right - out, knee), (right, eave)]


def shed(left: float, right: float, eave: float, pitch: float, *, high: str) -> list[Place]:
    """The one rake of a roof that slopes across, from its left to its right end."""
    rise = pitch * (right - left)
    return [(left, eave + rise * (high == "left")), (right, eave + rise * (high == "right"))]


def hip(left: float, right: float, eave: float, pitch: float, deep: float) -> list[Place]:
    """The outline of a hipped roof from the street, from its lower left corner round.

    All four sides have one pitch, so a hip goes in by as much as the roof's run: half of `deep`,
    its depth from eave to eave. A house narrower than that comes to a point, and its ridge runs
    back.
    """
    run = min(deep, right - left) / 2
    ridge = eave + pitch * run
    top = [(right - run, ridge), (left + run, ridge)]
    return [(left, eave), (right, eave), *(top if right - left > 2 * run + 1e-9 else top[:1])]


def along(edge: list[Place], x: float) -> float:
    """Height of a line of places from left to right, where it is at `x`."""
    for (x0, y0), (x1, y1) in itertools.pairwise(edge):
        if x <= x1:
            return y0 + (y1 - y0) * (x - x0) / (x1 - x0)
    return edge[-1][1]


def shifted(edge: list[Place], thick: float) -> list[Place]:
    """`edge` moved `thick` square to itself: ends plumb above their own, joints mitred."""
    lines = []
    for (x0, y0), (x1, y1) in itertools.pairwise(edge):
        slope = (y1 - y0) / (x1 - x0)
        lines.append((slope, y0 - slope * x0 + thick * math.hypot(1, slope)))
    made = [(edge[0][0], lines[0][0] * edge[0][0] + lines[0][1])]
    joints = zip(itertools.pairwise(lines), edge[1:-1], strict=True)
    for ((slope, at), (after, at_after)), (x, _) in joints:
        cross = (at_after - at) / (slope - after) if abs(slope - after) > 1e-9 else x
        made.append((cross, slope * cross + at))
    return [*made, (edge[-1][0], lines[-1][0] * edge[-1][0] + lines[-1][1])]
