"""What is typed while one draws, put to use: where the cross goes, and what a line says. Pure."""

from __future__ import annotations

import numpy as np

from sim.app.edit.commands import PointM
from sim.app.edit.paper import NotDone
from sim.app.edit.ruler import measured, shown
from sim.app.edit.typed import held, typed
from sim.app.state.drawing import Board


def typed_length_m(text: str, units: str) -> float | None:
    """The length [m] that is typed, negative too; None: it is none."""
    text = text.strip()
    if not text:
        return None
    sign = -1.0 if text.startswith("-") else 1.0
    bare = text.lstrip("+-").strip()
    if bare.strip("0.") == "":
        return 0.0
    try:
        length = typed(bare, units).length_m
    except NotDone:
        return None
    return sign * length if length is not None else None


def start_m(board: Board) -> PointM | None:
    """What a typed length is counted from: the corner before, or where a thing was taken."""
    if board.line:
        return board.line[-1] if not (board.tool == "ruler" and len(board.line) == 2) else None
    return board.grab.from_m if board.grab is not None else None


def typed_end(board: Board, towards_m: PointM) -> PointM | None:
    """Where the typed words put the cross [m]; None while they say nothing.

    From the corner before on; where there is none, two lengths are a place of the drawing.
    """
    units, start = board.house.units, start_m(board)
    try:
        said = typed(board.typed, units)
    except NotDone:
        return None
    if start is None:
        return said.across_m
    x, y = held(start, towards_m, said, units)
    return round(x, 6), round(y, 6)


def line_words(start: PointM, end: PointM, units: str) -> str:
    """Length, angle from level and pitch of a stretch, as it is told beside the line."""
    ruled = measured(start, end, units)
    length = shown(ruled.length_m, units)
    if ruled.length_m < 1e-9:
        return length
    dx, dy = abs(ruled.dx_m), abs(ruled.dy_m)
    slope = float(np.degrees(np.arctan2(dy, dx)))
    if slope < 0.05 or slope > 89.95:
        return f"{length}, {'level' if slope < 45 else 'plumb'}"
    pitch = f", pitch {12 * dy / dx:.3g}/12" if slope < 80 else ""
    return f"{length}, {slope:.1f}°{pitch}"


def path_words(points: np.ndarray, units: str) -> str:
    """How long a line of points is altogether."""
    length = float(np.hypot(*np.diff(points, axis=0).T).sum()) if len(points) > 1 else 0.0
    return shown(length, units)
