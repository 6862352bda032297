"""What is typed while drawing: a length, an angle, a pitch, or two of them, and where it leads.

`2.4 m`, `8' 6"`, a bare number in the house's units; `30°` counterclockwise from level to the
right; `6/12`, rise over run, in the quarter where the pointer is; `2 m, 30°`; `+1.2, +0.4` to the
right and up.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass

from layouts.units import length_m
from sim.app.edit.commands import PointM
from sim.app.edit.lengths import rounded_m, step_m
from sim.app.edit.paper import NotDone

_ANGLE = re.compile(r"([-+]?\d+(?:\.\d*)?|[-+]?\.\d+)\s*(?:°|deg)")
_PITCH = re.compile(r"(\d+(?:\.\d+)?)\s*/\s*(\d+(?:\.\d+)?)")
_BARE = re.compile(r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)")
_COMMA = re.compile(r"\d,\d")
_HINT = "write a length (2.4 m), an angle (30°), a pitch (6/12), or two (2 m, 30°)"


@dataclass(frozen=True)
class Typed:
    """What was typed, the rest open: a length, a direction, or both ways at once."""

    length_m: float | None = None
    angle_deg: float | None = None  # counterclockwise from level to the right
    pitch: tuple[float, float] | None = None  # rise and run
    across_m: PointM | None = None  # to the right and up


def typed(text: str, units: str = "m") -> Typed:
    """What `text` says. Raises NotDone for what says nothing."""
    if _COMMA.search(text):
        raise NotDone(f"'{text}' has a comma inside a number; write a point, or a space behind it")
    parts = [part.strip() for part in text.split(",")]
    if not all(parts) or len(parts) > 2:
        raise NotDone(f"'{text}' cannot be read; {_HINT}")
    said = [_one(part, units) for part in parts]
    if len(said) == 1:
        return _not_negative(said[0], text)
    first, second = said
    if first.length_m is not None and second.length_m is not None:
        return Typed(across_m=(first.length_m, second.length_m))
    if first.length_m is None:
        first, second = second, first
    if first.length_m is None:
        raise NotDone(f"'{text}' gives two directions; write one, with a length or alone")
    both = Typed(first.length_m, second.angle_deg, second.pitch)
    return _not_negative(both, text)


def _not_negative(said: Typed, text: str) -> Typed:
    if said.length_m is not None and said.length_m <= 0:
        raise NotDone(f"'{text}' is no length to draw; write more than zero")
    return said


def _one(text: str, units: str) -> Typed:
    if match := _ANGLE.fullmatch(text):
        return Typed(angle_deg=float(match[1]))
    if match := _PITCH.fullmatch(text):
        rise, run = float(match[1]), float(match[2])
        if run == 0:
            raise NotDone("a pitch over zero is plumb; write 90°")
        return Typed(pitch=(rise, run))
    try:
        bare = _BARE.fullmatch(text)
        return Typed(length_m=length_m(float(text) if bare else text, units))
    except ValueError:
        raise NotDone(f"'{text}' cannot be read; {_HINT}") from None


def held(from_m: PointM, pointer_m: PointM, said: Typed, units: str = "m") -> PointM:
    """The point [m] for which what was typed holds, as near to the pointer as that allows.

    It lies on the file's rounding (1 mm or 1/16 in) as seen from `from_m`, and is chosen so that
    the length holds to half of that, and a pitch with an open length holds exactly.
    """
    if said.across_m is not None:
        dx, dy = (rounded_m(each, units) for each in said.across_m)
        return from_m[0] + dx, from_m[1] + dy
    way = (pointer_m[0] - from_m[0], pointer_m[1] - from_m[1])
    far_m = math.hypot(*way)
    unit = (way[0] / far_m, way[1] / far_m) if far_m > 0 else (1.0, 0.0)
    if said.angle_deg is not None:
        unit = _direction(said.angle_deg)
    elif said.pitch is not None:
        unit = _pitched(said.pitch, unit)
        if said.length_m is None:
            return _on_pitch(from_m, way, said.pitch, unit, units)
    if said.length_m is None:
        along_m = way[0] * unit[0] + way[1] * unit[1]
        length = along_m if along_m > 0 else far_m
        return _nearest(from_m, unit, length, units, holds_length=False)
    return _nearest(from_m, unit, said.length_m, units, holds_length=True)


def _direction(angle_deg: float) -> PointM:
    """The unit vector of an angle; the right angles without the dust of pi."""
    quarter = angle_deg / 90
    if quarter == round(quarter):
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarter) % 4]
    turn = math.radians(angle_deg)
    return math.cos(turn), math.sin(turn)


def _pitched(pitch: tuple[float, float], way: PointM) -> PointM:
    rise, run = pitch
    size = math.hypot(rise, run)
    return math.copysign(run / size, way[0]), math.copysign(rise / size, way[1])


def _on_pitch(
    from_m: PointM, way: PointM, pitch: tuple[float, float], unit: PointM, units: str
) -> PointM:
    """The nearest point with exactly that pitch, in whole steps where rise and run are whole."""
    rise, run = pitch
    step = step_m(units)
    along = max(way[0] * unit[0] + way[1] * unit[1], 0.0) / math.hypot(rise, run)
    if rise == int(rise) and run == int(run):
        shared = math.gcd(int(rise), int(run))
        rise, run, along = rise / shared, run / shared, along * shared
        along = max(round(along / step), 1) * step
    dx, dy = math.copysign(along * run, unit[0]), math.copysign(along * rise, unit[1])
    return from_m[0] + dx, from_m[1] + dy


def _nearest(
    from_m: PointM, unit: PointM, length: float, units: str, *, holds_length: bool
) -> PointM:
    """The point in whole steps from `from_m` that keeps the length, and then the direction, best.

    For every whole step to the right there is one upwards, or the other way about, that leaves
    less than half a step of the length; so one of the 25 around does.
    """
    step = step_m(units)
    ideal = unit[0] * length, unit[1] * length
    middle = round(ideal[0] / step), round(ideal[1] / step)

    def around() -> Iterable[PointM]:
        for right in range(-2, 3):
            for up in range(-2, 3):
                yield (middle[0] + right) * step, (middle[1] + up) * step

    def wrong(at: PointM) -> tuple[bool, float]:
        off = abs(at[0] * unit[1] - at[1] * unit[0])  # from the line of the direction
        short = abs(math.hypot(*at) - length)
        if holds_length:
            return short > step / 2, math.hypot(off, short)
        return False, off + short / 4

    dx, dy = min(around(), key=wrong)
    return from_m[0] + dx, from_m[1] + dy
