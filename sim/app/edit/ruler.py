"""The ruler and the grid, in the house's units."""

from __future__ import annotations

import math
from dataclasses import dataclass

from layouts.units import METRES, length_text
from sim.app.edit.commands import PointM
from sim.plan.lengths import entry

#: Steps of a grid [m], and after how many a line is drawn heavier.
_METRIC = [
    (base * 10.0**power, 2 if base == 5 else 5 if base == 2 else 10)
    for power in range(-3, 3)
    for base in (1, 2, 5)
]
_IN, _FT = METRES["in"], METRES["ft"]
_IMPERIAL = [
    (_IN / 16, 16), (_IN / 8, 8), (_IN / 4, 4), (_IN / 2, 2), (_IN, 12), (3 * _IN, 4),
    (6 * _IN, 2), (_FT, 10), (2 * _FT, 5), (5 * _FT, 2), (10 * _FT, 10), (20 * _FT, 5),
    (50 * _FT, 2), (100 * _FT, 10),
]  # fmt: skip


@dataclass(frozen=True)
class Ruled:
    """What lies between two points."""

    length_m: float
    dx_m: float  # to the right
    dy_m: float  # up
    angle_deg: float  # counterclockwise from level to the right, -180..180
    length: str
    dx: str
    dy: str
    angle: str
    pitch: str  # rise over a run of twelve; "level", "plumb"

    @property
    def text(self) -> str:
        """In one line."""
        return f"{self.length}   → {self.dx}   ↑ {self.dy}   {self.angle}   {self.pitch}"


def shown(metres: float, units: str) -> str:
    """A length as somebody who measures in `units` reads it, to 1 mm or 1/16 in."""
    return entry(metres, units) if units in ("ft", "in") else length_text(metres, units)


def measured(a_m: PointM, b_m: PointM, units: str = "m") -> Ruled:
    """What lies from one point [m] to another."""
    dx, dy = b_m[0] - a_m[0], b_m[1] - a_m[1]
    length, angle = math.hypot(dx, dy), math.degrees(math.atan2(dy, dx))
    return Ruled(
        length_m=length,
        dx_m=dx,
        dy_m=dy,
        angle_deg=angle,
        length=shown(length, units),
        dx=shown(dx, units),
        dy=shown(dy, units),
        angle=f"{_plain(angle)}°",
        pitch=pitch_text(dx, dy),
    )


def pitch_text(dx: float, dy: float) -> str:
    """A slope as rise over a run of twelve."""
    if abs(dy) <= 1e-6 * abs(dx) or dx == dy == 0:
        return "level"
    if abs(dx) <= 1e-6 * abs(dy):
        return "plumb"
    rise = abs(dy / dx) * 12
    return f"{_plain(rise)}/12"


def _plain(value: float) -> str:
    text = f"{value:.1f}".rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


@dataclass(frozen=True)
class Ruling:
    """A grid: lines every `step_m`, every `heavy`-th heavier."""

    step_m: float
    heavy: int
    text: str  # the step as it is read


def grid(units: str, px_per_m: float, least_px: float = 10.0) -> Ruling:
    """The finest grid whose lines are at least `least_px` apart at that zoom."""
    steps = _IMPERIAL if units in ("ft", "in") else _METRIC
    fitting = [each for each in steps if each[0] * px_per_m >= least_px]
    step, heavy = fitting[0] if fitting else steps[-1]
    return Ruling(step, heavy, shown(step, units))
