"""Choosing, stepping, nudging, copying and reshaping what is chosen, by key or button. Pure."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from sim.app.edit.commands import (
    InsertPoint,
    MirrorAbout,
    MoveCut,
    MovePoint,
    RepeatBy,
    Restack,
    SetKey,
    ShiftBy,
)
from sim.app.state.drawing import Board, Pick
from sim.app.state.drawing_do import acted
from sim.app.state.drawing_things import LINED, handles, points_of, things
from sim.app.state.drawing_typed import typed_length_m
from sim.app.state.record import State

#: What a joined step of nudges is called for the history.
NUDGES = "nudge"


def step_m(board: Board) -> float:
    """One step of an arrow key [m]: a centimetre, or an inch."""
    return 0.0254 if board.house.units in ("ft", "in") else 0.01


def _with(state: State, **changes: Any) -> State:
    assert state.board is not None
    return replace(state, board=replace(state.board, **changes))


def step_thing(state: State, by: int) -> State:
    """The next or previous thing of the house is chosen."""
    board = state.board
    assert board is not None
    every = things(board.house)
    if not every:
        return _with(state, fault="The house has nothing yet that could be chosen")
    now = board.pick
    if now is not None and now.corner is not None:
        now = Pick(now.item)
    at = every.index(now) + by if now in every else (0 if by > 0 else -1)
    pick = every[at % len(every)]
    points = points_of(board.house, pick.item)
    cross = (float(points[0][0]), float(points[0][1])) if len(points) else board.cross_m
    return _with(state, picks=(pick,), tool="select", cross_m=cross, free_m=cross, grab=None,
                 line=(), members=(), field=None, fault="", catch=None)  # fmt: skip


def step_corner(state: State, by: int) -> State:
    """The next corner of what is chosen; with other tools the cross goes to one of the house."""
    board = state.board
    assert board is not None
    if board.tool == "select" and board.pick is not None and board.grab is None:
        held = list(handles(board.house, board.pick))
        if not held:
            return _with(state, fault=f"{board.pick.item} has no corners")
        names = [pick for pick, _ in held]
        at = names.index(board.pick) + by if board.pick in names else (0 if by > 0 else -1)
        pick, xy = held[at % len(held)]
        return _with(state, picks=(pick,), cross_m=xy, free_m=xy, fault="", catch=None)
    corners = house_corners(board)
    if not len(corners):
        return state
    away = np.hypot(*(corners - np.array(board.cross_m)).T)
    nearest = int(away.argmin())
    at = nearest if away[nearest] > 1e-6 else (nearest + by) % len(corners)
    xy = (float(corners[at][0]), float(corners[at][1]))
    return _with(state, cross_m=xy, free_m=xy, catch=None, fault="", fault_m=None)


def house_corners(board: Board) -> np.ndarray:
    """(K, 2) [m] the ends of runs and corners of surfaces, each once, from left to right."""
    house = board.house
    found = [run.path_m for run in house.runs] + [one.outline_m for one in house.drawing.surfaces]
    if not found:
        return np.zeros((0, 2))
    return np.asarray(np.unique(np.round(np.concatenate(found), 4), axis=0))


def nudged(state: State, dx: float, dy: float) -> State:
    """What is chosen moved a little; presses in quick succession are one step of the history."""
    board = state.board
    assert board is not None
    pick = board.pick
    assert pick is not None
    item = pick.item
    joins = f"{NUDGES} {item} {pick.corner} {pick.cut}"
    if pick.cut is not None:
        to = pick.cut + (1 if dx + dy > 0 else -1)
        return acted(state, MoveCut(str(item.name), pick.cut, to), joins, Pick(item, cut=to))
    if item.sort == "wire":
        return _nudged_end(state, pick, 1 if dx + dy > 0 else -1, joins)
    points = points_of(board.house, item)
    if not len(points):
        return _with(state, fault=f"{item} has no place of its own to be moved")
    if pick.corner is not None and item.sort in LINED:
        x, y = points[pick.corner]
        return acted(state, MovePoint(item, pick.corner, (float(x) + dx, float(y) + dy)), joins)
    if item.sort in ("supply", "output"):
        x, y = points[0]
        return acted(state, SetKey(item, "at", (float(x) + dx, float(y) + dy)), joins)
    items = tuple(dict.fromkeys(one.item for one in board.picks if one.whole))
    return acted(state, ShiftBy(items, dx, dy), joins)


def _nudged_end(state: State, pick: Pick, by: int, joins: str) -> State:
    """The run's end of a wire, a pixel further."""
    board = state.board
    assert board is not None
    wire = board.house.wires[int(pick.item.name)]
    which = pick.corner if pick.corner is not None else 1
    end = (wire.start, wire.end)[which]
    if end.kind != "run":
        return _with(state, fault="This end of the wire is not on a run; choose the other (.)")
    run = board.house.run(end.name)
    pad = min(max(end.pad + by, 0), run.count + 1)
    ends = {0: f"{run.name}.start", run.count + 1: f"{run.name}.end"}
    to = ends.get(pad, f"{run.name}[{pad - 1}]")
    return acted(state, SetKey(pick.item, "to" if which else "from", to), joins)


def add_corner(state: State) -> State:
    """A corner in the middle of the stretch after the chosen corner, else of the longest."""
    board = state.board
    assert board is not None
    pick = board.pick
    if pick is None or pick.item.sort not in LINED:
        return _with(state, fault="Choose a run or a surface first: corners belong to those")
    points = points_of(board.house, pick.item)
    closed = pick.item.sort == "surface"
    ends = np.roll(points, -1, axis=0) if closed else points[1:]
    starts = points if closed else points[:-1]
    length = np.hypot(*(ends - starts).T)
    at = int(length.argmax()) if pick.corner is None else min(pick.corner, len(length) - 1)
    x, y = (starts[at] + ends[at]) / 2
    command = InsertPoint(pick.item, at + 1, (float(x), float(y)))
    return acted(state, command, choose=Pick(pick.item, at + 1))


def repeated(state: State) -> State:
    """A copy beside it: a typed length away, else by its own width and a little more."""
    board = state.board
    assert board is not None
    items = tuple(dict.fromkeys(pick.item for pick in board.picks if pick.cut is None))
    points = [points_of(board.house, item) for item in items]
    if not items or not all(len(one) for one in points):
        return _with(state, fault="Choose something that has a place first: that can be repeated")
    by = typed_length_m(board.typed, board.house.units)
    if by is None:
        by = float(np.ptp(np.concatenate(points)[:, 0])) + 0.3
    after = acted(state, RepeatBy(items, 1, by))
    return _with(after, typed="")


def mirrored(state: State) -> State:
    """A copy the other way round, about a typed x, else the middle of the house."""
    board = state.board
    assert board is not None
    items = tuple(dict.fromkeys(pick.item for pick in board.picks if pick.cut is None))
    if not items or not all(len(points_of(board.house, item)) for item in items):
        return _with(state, fault="Choose something that has a place first: that can be mirrored")
    x = typed_length_m(board.typed, board.house.units)
    after = acted(state, MirrorAbout(items, x if x is not None else middle_m(board)))
    return _with(after, typed="")


def middle_m(board: Board) -> float:
    """The middle of the house: of its walls' and roofs' reach, else of the drawing [m]."""
    width = board.house.drawing.size_m[0]
    inner = [one.outline_m for one in board.house.drawing.surfaces
             if one.outline_m[:, 0].min() >= 0 and one.outline_m[:, 0].max() <= width]  # fmt: skip
    if not inner:
        return width / 2
    reach = np.concatenate(inner)[:, 0]
    return float(reach.min() + reach.max()) / 2


def raised(state: State, places: int) -> State:
    """The chosen surface painted later, or earlier."""
    board = state.board
    assert board is not None
    if board.pick is None or board.pick.item.sort != "surface":
        return _with(state, fault="Choose a surface first: surfaces lie one over the other")
    return acted(state, Restack(str(board.pick.item.name), places), NUDGES)
