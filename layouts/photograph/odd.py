"""Which one of the known points is wrong: the one without which all others agree."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.photograph.faults import UnfitPoints
from layouts.photograph.plane import errors_m, fit_plane, to_wall

#: Four points always fit, so of five none can be told from the others.
LEAST_KNOWN = 6
#: Without the wrong one the others agree so many times better than without any other one; points
#: picked by hand are never taken to agree better than FINE_M. A choice.
CLEARLY, FINE_M = 4.0, 0.001


@dataclass(frozen=True)
class OddPoint:
    """A point that no plane of the others has where it was said to be."""

    number: int  # from 0
    off_m: float  # from where the others have its pixel
    others_m: float  # the most that one of the others is off without it
    seen_m: tuple[float, float]  # where on the wall the others have its pixel


def odd_point(
    pixel: np.ndarray,
    at_m: np.ndarray,
    size_px: tuple[int, int],
    lens: tuple[float, ...],
    most_m: float,
) -> OddPoint | None:
    """The one point of (N, 2) `pixel` and (N, 2) `at_m` [m] that spoils a fit, by leaving out each
    in turn; None where all agree within `most_m`, or where it could be more than one of them.
    """
    pixel, at_m = np.asarray(pixel, dtype=float), np.asarray(at_m, dtype=float)
    if len(pixel) < LEAST_KNOWN:
        return None
    whole = fit_plane(pixel, at_m, size_px, lens)
    if errors_m(whole, pixel, at_m).max() <= most_m:
        return None
    tried = []
    for number in range(len(pixel)):
        rest = np.arange(len(pixel)) != number
        try:
            plane = fit_plane(pixel[rest], at_m[rest], size_px, lens)
        except UnfitPoints:  # what is left does not fix a wall: it says nothing of this one
            continue
        tried.append((float(errors_m(plane, pixel[rest], at_m[rest]).max()), number, plane))
    tried.sort(key=lambda each: each[:2])
    if not tried or tried[0][0] > most_m:
        return None
    most, number, plane = tried[0]
    if len(tried) > 1 and tried[1][0] <= CLEARLY * max(most, FINE_M):
        return None
    x, y = to_wall(plane, pixel[number]).tolist()
    off = float(np.hypot(x - at_m[number, 0], y - at_m[number, 1]))
    return OddPoint(number, off, most, (x, y))
