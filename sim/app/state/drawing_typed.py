"""What is typed while one draws: a length, an angle, a pitch, a place. Pure.

`3.2` or `12' 6"` is a length the way the cross lies, `30°` an angle from level at the length of the
cross, `6/12` a roof pitch (rise over run), `3.2 @ 30°` and `3.2 @ 6/12` both; `4.2, 2.8` is a place,
from the lower left of the drawing, and `+0.5, -0.2` a step from the corner before.
"""

from __future__ import annotations

import math
import re

import numpy as np

from layouts.units import length_m, length_text
from sim.app.edit.commands import PointM
from sim.app.state.drawing import Board

_ANGLE = re.compile(r"(-?\d+(?:\.\d*)?)\s*(?:°|deg)")
_PITCH = re.compile(r"(-?\d+(?:\.\d*)?)\s*/\s*(\d+(?:\.\d*)?)")


def typed_length_m(text: str, units: str) -> float | None:
    """The length [m] that is typed; a bare number is in the house's units. None: it is none."""
    text = text.strip()
    if not text:
        return None
    try:
        return length_m(float(text), units)
    except ValueError:
        pass
    try:
        return length_m(text, units)
    except ValueError:
        return None


def _angle(text: str) -> float | None:
    """Degrees from level, 0..90 up or down; None where that is no angle."""
    if match := _ANGLE.fullmatch(text.strip()):
        return float(match[1])
    if (match := _PITCH.fullmatch(text.strip())) and float(match[2]) > 0:
        return math.degrees(math.atan2(float(match[1]), float(match[2])))
    return None


def start_m(board: Board) -> PointM | None:
    """What a typed length is counted from: the corner before, or where a thing was taken."""
    if board.line:
        return board.line[-1]
    return board.grab.from_m if board.grab is not None else None


def typed_end(board: Board, towards_m: PointM) -> PointM | None:
    """Where the typed words put the cross [m]; None while they say nothing."""
    text, units, start = board.typed.strip(), board.house.units, start_m(board)
    if "," in text:
        return _place(text, units, start)
    if start is None:
        return None
    dx, dy = towards_m[0] - start[0], towards_m[1] - start[1]
    away = math.hypot(dx, dy)
    first, at, second = text.partition("@")
    angle = _angle(second) if at else _angle(first)
    length = typed_length_m(first, units) if at or angle is None else away
    if length is None or (at and second.strip() and angle is None):
        return None
    if angle is not None:
        # the side it goes to is the cross's; up or down is its too, unless a sign says so
        across = -1.0 if dx < 0 else 1.0
        up = -1.0 if dy < 0 and angle > 0 else 1.0
        turn = math.radians(angle)
        return (round(start[0] + across * length * math.cos(turn), 6),
                round(start[1] + up * length * math.sin(turn), 6))  # fmt: skip
    if away < 1e-9:
        dx, dy, away = 1.0, 0.0, 1.0
    return (round(start[0] + length * dx / away, 6), round(start[1] + length * dy / away, 6))


def _place(text: str, units: str, start: PointM | None) -> PointM | None:
    stepping = text.startswith(("+", "-")) and start is not None
    parts = text.split(",")
    if len(parts) != 2:
        return None
    found = [typed_length_m(part.strip().removeprefix("+"), units) for part in parts]
    x, y = found
    if x is None or y is None:
        return None
    if stepping and start is not None:
        return round(start[0] + x, 6), round(start[1] + y, 6)
    return x, y


def line_words(start: PointM, end: PointM, units: str) -> str:
    """Length, angle from level and pitch of a stretch, as it is told beside the line."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    words = [length_text(math.hypot(dx, dy), units)]
    if abs(dx) < 1e-6 and abs(dy) < 1e-6:
        return words[0]
    angle = math.degrees(math.atan2(abs(dy), abs(dx)))
    if angle < 0.05:
        return f"{words[0]}, level"
    if angle > 89.95:
        return f"{words[0]}, plumb"
    words.append(f"{angle:.1f}°")
    if angle < 80:
        words.append(f"pitch {12 * abs(dy) / abs(dx):.3g}/12".replace(".0/12", "/12"))
    return ", ".join(words)


def path_words(points: np.ndarray, units: str) -> str:
    """How long a line of points is altogether."""
    length = float(np.hypot(*np.diff(points, axis=0).T).sum()) if len(points) > 1 else 0.0
    return length_text(length, units)
