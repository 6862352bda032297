"""What a press does, tool by tool: choose, put a corner, put a thing, gather a run. Pure."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any

from sim.app.edit.commands import PointM
from sim.app.state import drawing_actions as act
from sim.app.state.drawing import GATHERS, LINES, Board, Grab, rested
from sim.app.state.drawing_do import (
    acted,
    nearest_run,
    new_cut,
    new_feed,
    new_output,
    new_place,
    new_run,
    new_supply,
    new_surface,
    new_zone,
)
from sim.app.state.drawing_panel import anchor_m
from sim.app.state.drawing_things import pick_at
from sim.app.state.record import State

#: Corners nearer to each other than this are one [m].
SAME_M = 0.002


def _with(state: State, **changes: Any) -> State:
    assert state.board is not None
    return replace(state, board=replace(state.board, **changes))


def pressed(state: State, action: act.PressAt) -> State:
    """A press of the main button, the cross being there already."""
    board = state.board
    assert board is not None
    if board.tool != "select":
        return put(state, board.cross_m, action.reach_m)
    pick = pick_at(board.house, action.at_m, action.reach_m, board.picks)
    if pick is None:
        return _with(state, picks=(), field=None, listed=False, fault="")
    if action.also:
        kept = tuple(one for one in board.picks if one.item != pick.item)
        gone = any(one.item == pick.item for one in board.picks)
        return _with(state, picks=kept if gone else (*kept, pick), field=None, fault="")
    picks = board.picks if pick in board.picks else (pick,)
    anchor = anchor_m(board, pick, action.at_m)
    grab = None
    if anchor is not None:
        off = (anchor[0] - action.at_m[0], anchor[1] - action.at_m[1])
        grab = Grab(pick, anchor, off)
    return _with(state, picks=picks, grab=grab, field=None, listed=False, fault="")


def put(state: State, at_m: PointM, reach_m: float) -> State:
    """What the tool puts at a point [m]: a corner, a thing, or a run gathered."""
    board = state.board
    assert board is not None
    state = _with(state, fault="", fault_m=None, listed=False, field=None)
    if board.tool in LINES:
        return _corner(state, at_m, reach_m)
    if board.tool == "place":
        command, pick = new_place(board, at_m)
        return acted(state, command, choose=pick)
    if board.tool == "supply":
        command, pick = new_supply(board, at_m)
        return acted(state, command, choose=pick)
    near = nearest_run(board.house, at_m)
    if near is None or near[1] > max(reach_m, 0.15):
        return _with(state, fault="No run is here: click on one", fault_m=at_m)
    if board.tool in GATHERS:
        held = board.members
        members = tuple(one for one in held if one != near[0])
        return _with(state, members=members if near[0] in held else (*held, near[0]))
    if board.tool == "feed":
        found = new_feed(board, near[0], at_m)
        if isinstance(found, str):
            return _with(state, fault=found)
        return acted(state, found[0], choose=found[1])
    command, pick = new_cut(board, near[0], at_m)
    return acted(state, command, choose=pick)


def _corner(state: State, at_m: PointM, reach_m: float) -> State:
    """A corner more, unless the line would cross itself; the first corner again closes it."""
    board = state.board
    assert board is not None
    line = board.line
    if board.tool == "ruler":
        line = () if len(line) == 2 else line
        return _with(state, line=(*line, at_m), typed="")
    if line and _same(line[-1], at_m):
        return state
    if board.tool == "surface" and len(line) >= 3 and _same(line[0], at_m, max(reach_m, SAME_M)):
        return ended(state)
    if board.tool == "surface" and (where := crosses(line, at_m)) is not None:
        words = "The outline would cross itself here; put this corner elsewhere"
        return _with(state, fault=words, fault_m=where)
    return _with(state, line=(*line, at_m), typed="")


def _same(a: PointM, b: PointM, within_m: float = SAME_M) -> bool:
    return abs(a[0] - b[0]) <= within_m and abs(a[1] - b[1]) <= within_m


def crossing(a: PointM, b: PointM, c: PointM, d: PointM) -> PointM | None:
    """Where a → b and c → d cross [m], ends counted in; None where they do not, or lie along."""
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], d[0] - c[0], d[1] - c[1]
    across = ux * vy - uy * vx
    if abs(across) < 1e-12:
        return None
    wx, wy = c[0] - a[0], c[1] - a[1]
    t, s = (wx * vy - wy * vx) / across, (wx * uy - wy * ux) / across
    if not (-1e-9 <= t <= 1 + 1e-9 and -1e-9 <= s <= 1 + 1e-9):
        return None
    return a[0] + t * ux, a[1] + t * uy


def crosses(line: tuple[PointM, ...], to_m: PointM) -> PointM | None:
    """Where the next stretch of an outline would cross one drawn before [m]."""
    if len(line) < 3:
        return None
    for start, end in pairwise(line[:-1]):
        met = crossing(start, end, line[-1], to_m)
        if met is not None:
            return met
    return None


def closing_crosses(line: tuple[PointM, ...]) -> PointM | None:
    """Where the stretch that closes an outline would cross one drawn before [m]."""
    for start, end in pairwise(line[1:-1]):
        met = crossing(start, end, line[-1], line[0])
        if met is not None:
            return met
    return None


def ended(state: State) -> State:
    """What is being made is complete: it goes into the draft."""
    board = state.board
    assert board is not None
    if board.tool in GATHERS:
        return _gathered(state, board)
    line = board.line
    if board.tool == "ruler" or not line:
        return _with(state, line=())
    least = 2 if board.tool == "run" else 3
    if len(line) < least:
        few = "two corners" if least == 2 else "three corners"
        return _with(state, fault=f"A {board.tool} needs {few} at least; Esc gives it up")
    if board.tool == "run":
        command, pick = new_run(board, line)
    else:
        where = closing_crosses(line)
        if where is not None:
            words = "Closed, the outline would cross itself here; Backspace takes corners back"
            return _with(state, fault=words, fault_m=where)
        command, pick = new_surface(board, line)
    after = acted(state, command, choose=pick)
    if after.board is not None and not after.board.fault:
        after = replace(after, board=rested(after.board))
    return after


def _gathered(state: State, board: Board) -> State:
    if not board.members:
        return _with(state, fault="Click the runs that belong to it first; Enter then makes it")
    command, pick = new_output(board) if board.tool == "output" else new_zone(board)
    after = acted(state, command, choose=pick)
    if after.board is not None and not after.board.fault:
        after = replace(after, board=rested(after.board))
    return after
