"""The grid of the wall as the photograph sees it, to judge a fit by. Pure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.photograph import Plane, to_pixel, to_wall
from layouts.units import METRES

#: Lines are never nearer than this on the screen [px], nor more than so many of a kind.
LEAST_PX, MOST_LINES = 26.0, 80
_STEPS = {"m": (0.1, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0), "ft": (0.5, 1.0, 2.0, 5.0, 10.0, 20.0)}
_POINTS = 33


@dataclass(frozen=True, eq=False)
class GridLine:
    """One line of the grid: (P, 2) pixels along it, what it stands for, and whether it is 0."""

    pixel: np.ndarray
    label: str
    zero: bool
    upright: bool
    foot: np.ndarray  # (2,) where it meets the other line of 0


def grid_lines(
    plane: Plane, at_m: np.ndarray, units: str, screen_per_px: float
) -> tuple[GridLine, ...]:
    """The grid around known places (N, 2) [m]; `screen_per_px` is how large a pixel is shown."""
    named = "ft" if units in ("ft", "in") else "m"
    wide, tall = plane.size_px
    edge = np.array([[u, v] for u in (0, wide / 2, wide) for v in (0, tall / 2, tall)])
    seen = to_wall(plane, edge)
    seen = seen[np.isfinite(seen).all(axis=-1)]
    low, high = at_m.min(axis=0), at_m.max(axis=0)
    middle = (low + high) / 2
    room = 1.5 * max(*(high - low), 1.0) + 1.0
    low, high = low - room, high + room
    if len(seen):
        low, high = np.maximum(low, seen.min(axis=0)), np.minimum(high, seen.max(axis=0))
    beside = to_pixel(plane, np.stack([middle, middle + np.array([0.1, 0.0])]))
    per_m = float(np.hypot(*(beside[1] - beside[0]))) / 0.1 * screen_per_px
    steps = [one * METRES[named] for one in _STEPS[named]]
    step_m = next((one for one in steps if one * per_m >= LEAST_PX), steps[-1])
    found = []
    for axis in (0, 1):
        first, last = np.ceil(low[axis] / step_m - 1e-9), np.floor(high[axis] / step_m + 1e-9)
        for count in range(int(first), int(min(last, first + MOST_LINES)) + 1):
            along = np.linspace(low[1 - axis], high[1 - axis], _POINTS)
            fixed = np.full(_POINTS, count * step_m)
            places = np.stack([fixed, along] if axis == 0 else [along, fixed], axis=-1)
            label = f"{round(count * step_m / METRES[named], 3):g} {named}"
            foot = np.zeros(2)
            foot[axis] = count * step_m
            line = to_pixel(plane, np.concatenate([places, foot[None]]))
            found.append(GridLine(line[:-1], label, count == 0, axis == 0, line[-1]))
    return tuple(found)
