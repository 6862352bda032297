"""The underside of an eave, which an elevation draws as a band below the board.

Who stands in the street sees it under the overhang: its far edge, at the wall, lowest, its near
edge where the board in front begins. In space the band is level, at the height of that edge, and
reaches from the wall out to the board. Where no board hangs over it, it reaches as far as the line
of sight says for its height.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from layouts.eaves import OUT_M
from layouts.polygon import inside
from layouts.records import Drawing, Surface
from sim.light.view import EYE_M

_LEAST_M = 0.02
_MOST_M = 2.0


@dataclass(frozen=True)
class Soffit:
    """Where a band that is drawn from `low_m` to `high_m` lies in space."""

    low_m: float  # drawn height of the far edge
    high_m: float  # drawn height of the near edge, and true height of all of it
    back_m: float  # depth of the far edge
    front_m: float  # depth of the near edge

    @property
    def reach_m(self) -> float:
        """From the wall to the near edge."""
        return self.front_m - self.back_m

    @property
    def stretch(self) -> float:
        """Metres out for a metre of the drawing."""
        return self.reach_m / (self.high_m - self.low_m)

    def place(self, y_m: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        """Drawn heights -> height and depth in space."""
        part = np.clip((y_m - self.low_m) / (self.high_m - self.low_m), 0.0, 1.0)
        return np.full_like(part, self.high_m), self.back_m + part * self.reach_m


def soffit_of(surface: Surface, drawing: Drawing) -> Soffit:
    """The soffit that a surface which faces down is."""
    (left, low), (right, high) = surface.outline_m.min(axis=0), surface.outline_m.max(axis=0)
    back = float(surface.depth_m)
    board = _board(surface, drawing.surfaces, np.linspace(left, right, 9)[1:-1], high)
    if board is not None:
        edge = float(board.outline_m[:, 1].min())
        high = float(np.clip(edge, low + _LEAST_M, high))
        return Soffit(float(low), high, back, float(board.depth_m))
    high = max(float(high), float(low) + _LEAST_M)
    reach = (high - low) * drawing.viewer_m / max(high - EYE_M, 0.1)
    return Soffit(float(low), high, back, back + float(np.clip(reach, _LEAST_M, _MOST_M)))


def _board(
    surface: Surface, surfaces: tuple[Surface, ...], x_m: np.ndarray, high_m: float
) -> Surface | None:
    """What stands out before the upper edge over most of its length; the nearest to the wall."""
    found = None
    for other in surfaces:
        if other.depth_m < surface.depth_m + OUT_M or other.faces == "down":
            continue
        (left, low), (right, high) = other.outline_m.min(axis=0), other.outline_m.max(axis=0)
        if not (low < high_m <= high and left < x_m[-1] and right > x_m[0]):
            continue
        over = inside(other.outline_m, np.column_stack([x_m, 0 * x_m + high_m - 1e-4]))
        if np.count_nonzero(over) * 2 > len(x_m) and (
            found is None or other.depth_m < found.depth_m
        ):
            found = other
    return found
