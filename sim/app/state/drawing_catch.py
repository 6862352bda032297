"""The cross caught by what is near: ends, lines, levels, right angles, pitches, the grid. Pure.

Every way of being caught can be switched off. The nearest end goes before a line, and where two
lines cross within reach the crossing is meant.
"""

from __future__ import annotations

import math

import numpy as np

from layouts import House
from sim.app.edit.commands import Item, PointM
from sim.app.state.drawing import LINES, Board, Catch
from sim.app.state.drawing_things import points_of
from sim.app.state.drawing_typed import start_m

#: Roof pitches that are caught besides those the drawing has: rise to a run of 12.
PITCHES = (3, 4, 6, 8, 9, 12)
#: How far a guide line is drawn on beyond what it comes from [m].
BEYOND_M = 0.3


def grid_m(units: str, px_per_m: float = 60.0) -> float:
    """The side of a grid cell [m] in the house's units: not narrower than about 9 px."""
    steps = ([0.0254 * inches for inches in (1, 3, 6, 12, 60, 120)] if units in ("ft", "in")
             else [0.01, 0.05, 0.1, 0.25, 0.5, 1.0, 5.0])  # fmt: skip
    return next((step for step in steps if step * px_per_m >= 9), steps[-1])


def caught(board: Board, at_m: PointM, reach_m: float) -> tuple[PointM, Catch | None]:
    """Where the cross is taken to be for a pointer at `at_m`, and what holds it there.

    While a thing is held by a corner or a spot, that is what is caught.
    """
    fine = _fine(board, at_m)
    drawing = board.tool in LINES or board.tool in ("place", "supply") or board.grab is not None
    ways = board.caught_by
    if not drawing or not ways or reach_m <= 0:
        return fine, None
    near = np.array(at_m)
    starts, ends = stretches(board)
    points = np.unique(np.concatenate([starts, ends]), axis=0) if len(starts) else np.zeros((0, 2))
    points = np.concatenate([points, spots(board.house), np.array(board.line).reshape(-1, 2)])
    if "ends" in ways and len(points):
        away = np.hypot(*(points - near).T)
        at = int(away.argmin())
        if away[at] <= reach_m:
            return _point(points[at]), Catch("end")
    guides = _guides(board, points, near, reach_m)
    if "lines" in ways and len(starts):
        guides += _on_lines(starts, ends, near, reach_m)
    held = _met(guides, near, reach_m)
    if held is not None:
        return held
    if "grid" in ways:
        step = grid_m(board.house.units)
        on = np.rint(near / step) * step
        return _point(on), Catch("grid")
    return fine, None


def _fine(board: Board, at_m: PointM) -> PointM:
    """To the millimetre, or the sixteenth of an inch."""
    step = 0.0254 / 16 if board.house.units in ("ft", "in") else 0.001
    return (round(round(at_m[0] / step) * step, 6), round(round(at_m[1] / step) * step, 6))


def _point(xy: np.ndarray) -> PointM:
    return round(float(xy[0]), 6), round(float(xy[1]), 6)


def _held(board: Board) -> set[Item]:
    if board.grab is None:
        return set()
    return {pick.item for pick in board.picks} | {board.grab.pick.item}


def stretches(board: Board) -> tuple[np.ndarray, np.ndarray]:
    """(S, 2) starts and ends [m] of every straight stretch of what is not held."""
    held = _held(board)
    starts, ends = [], []
    for run in board.house.runs:
        if Item("run", run.name) not in held:
            starts.append(run.path_m[:-1])
            ends.append(run.path_m[1:])
    for one in board.house.drawing.surfaces:
        if Item("surface", one.name) not in held and len(one.outline_m) <= 12:
            starts.append(one.outline_m)
            ends.append(np.roll(one.outline_m, -1, axis=0))
    if not starts:
        return np.zeros((0, 2)), np.zeros((0, 2))
    return np.concatenate(starts), np.concatenate(ends)


def spots(house: House) -> np.ndarray:
    """(K, 2) [m] places, supplies and outputs."""
    found = [points_of(house, Item("place", one.name)) for one in house.places]
    found += [points_of(house, Item("supply", one.name)) for one in house.supplies]
    return np.concatenate(found) if found else np.zeros((0, 2))


#: (why, a point of the line, its direction, what it comes from), all [m].
_Guide = tuple[str, np.ndarray, np.ndarray, np.ndarray]


def _guides(board: Board, points: np.ndarray, near: np.ndarray, reach_m: float) -> list[_Guide]:
    """Lines without end through what is near: levels, plumb lines, angles and pitches."""
    found: list[_Guide] = []
    if "levels" in board.caught_by and len(points):
        for axis, why in ((1, "level"), (0, "plumb")):
            away = np.abs(points[:, axis] - near[axis])
            within = np.flatnonzero(away <= reach_m * 0.6)
            if len(within):
                # of those on about the same level the one beside the pointer says it best
                aside = np.abs(points[within, 1 - axis] - near[1 - axis])
                at = within[int((away[within] * 50 + aside).argmin())]
                found.append((why, points[at], np.array([1.0, 0.0] if axis else [0.0, 1.0]),
                              points[at]))  # fmt: skip
    start = start_m(board)
    if start is None:
        return found
    origin = np.array(start)
    turns: list[tuple[str, float]] = []
    if "angles" in board.caught_by:
        turns += [("level", 0.0), ("plumb", 90.0), ("45°", 45.0), ("45°", -45.0)]
        if len(board.line) > 1:
            dx, dy = origin - np.array(board.line[-2])
            if dx or dy:
                before = math.degrees(math.atan2(dy, dx))
                turns += [("right angle", before + 90), ("straight on", before)]
    if "pitches" in board.caught_by:
        for pitch in PITCHES:
            angle = math.degrees(math.atan2(pitch, 12))
            turns += [(f"pitch {pitch}/12", angle), (f"pitch {pitch}/12", -angle)]
    for why, angle in turns:
        way = np.array([math.cos(math.radians(angle)), math.sin(math.radians(angle))])
        off = near - origin
        if abs(off[0] * way[1] - off[1] * way[0]) <= reach_m * 0.6:
            found.append((why, origin, way, origin))
    return found


def _on_lines(
    starts: np.ndarray, ends: np.ndarray, near: np.ndarray, reach_m: float
) -> list[_Guide]:
    """The stretch nearest to the pointer, where it is within reach."""
    step = ends - starts
    square = np.maximum((step**2).sum(axis=1), 1e-12)
    share = ((near - starts) * step).sum(axis=1) / square
    foot = starts + np.clip(share, 0, 1)[:, None] * step
    away = np.hypot(*(foot - near).T)
    at = int(away.argmin())
    if away[at] > reach_m * 0.8:
        return []
    return [("on a line", starts[at], step[at] / math.sqrt(square[at]), foot[at])]


def _met(
    guides: list[_Guide], near: np.ndarray, reach_m: float
) -> tuple[PointM, Catch | None] | None:
    """The crossing of the two best guides within reach, else the foot on the best alone."""
    feet = []
    for guide in guides:
        _, point, way, _ = guide
        foot = point + ((near - point) @ way) * way
        feet.append((float(np.hypot(*(foot - near))), foot, guide))
    feet.sort(key=lambda one: one[0])
    for index, (_, _, one) in enumerate(feet):
        for _, _, two in feet[index + 1 :]:
            across = one[2][0] * two[2][1] - one[2][1] * two[2][0]
            if abs(across) < 0.05:
                continue
            off = two[1] - one[1]
            t = (off[0] * two[2][1] - off[1] * two[2][0]) / across
            met = one[1] + t * one[2]
            if float(np.hypot(*(met - near))) <= reach_m:
                why = " and ".join(dict.fromkeys((one[0], two[0])))
                return _point(met), Catch(why, (_shown(one, met), _shown(two, met)))
    if feet:
        _, foot, guide = feet[0]
        return _point(foot), Catch(guide[0], (_shown(guide, foot),))
    return None


def _shown(guide: _Guide, to: np.ndarray) -> tuple[PointM, PointM]:
    """The part of a guide that is drawn: from what it comes from to a little beyond the cross."""
    way = guide[2] if (to - guide[3]) @ guide[2] >= 0 else -guide[2]
    return _point(guide[3]), _point(to + way * BEYOND_M)
