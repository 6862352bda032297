"""The keys in the panel: which row has them, what is typed into it, what is chosen. Pure."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from sim.app.edit.commands import Command, PointM, RemoveCut, RemovePoint
from sim.app.state.drawing import Board, Pick
from sim.app.state.drawing_do import acted
from sim.app.state.drawing_fields import Field, field, fields, set_command
from sim.app.state.drawing_things import LINED, cut_xy_m, handles, points_of
from sim.app.state.drawing_typed import typed_length_m
from sim.app.state.record import State


def _with(state: State, **changes: Any) -> State:
    assert state.board is not None
    return replace(state, board=replace(state.board, **changes))


def anchor_m(board: Board, pick: Pick, at_m: PointM | None = None) -> PointM | None:
    """The point of a thing that is put somewhere [m]: its corner, its spot, else the corner
    nearest to `at_m`, or its first."""
    item = pick.item
    if pick.cut is not None:
        return cut_xy_m(board.house.run(str(item.name)), pick.cut)
    if item.sort == "wire" and pick.corner is None:
        return None
    if pick.corner is not None:
        return next((xy for one, xy in handles(board.house, pick) if one == pick), None)
    points = points_of(board.house, item)
    if not len(points):
        return None
    if at_m is not None and item.sort in LINED:
        near = points[int(np.hypot(*(points - np.array(at_m)).T).argmin())]
        return float(near[0]), float(near[1])
    return float(points[0][0]), float(points[0][1])


def part_removal(board: Board) -> Command | None:
    """The command that removes the chosen part; None where the whole thing is chosen."""
    pick = board.pick
    if pick is None or pick.whole or len(board.picks) > 1:
        return None
    if pick.cut is not None:
        return RemoveCut(str(pick.item.name), pick.cut)
    if pick.corner is not None and pick.item.sort in LINED:
        return RemovePoint(pick.item, pick.corner)
    return None


def step_field(state: State, by: int) -> State:
    """The next or previous row of the panel gets the keys."""
    board = state.board
    assert board is not None
    keys = [one.key for one in fields(board)]
    if not keys:
        return _with(state, fault="Choose a thing first (Tab): its rows stand here then")
    at = keys.index(board.field) + by if board.field in keys else (0 if by > 0 else -1)
    return _with(state, field=keys[at % len(keys)], listed=False, typed="", fault="")


def open_field(state: State, key: str) -> State:
    """A row gets the keys; once more, its list opens or shuts."""
    board = state.board
    assert board is not None
    one = field(board, key)
    if one is None:
        return state
    if len(one.options) == 2 and isinstance(one.value, bool):
        return set_field(_with(state, field=key), key, not one.value)
    listed = bool(one.options) and not (board.listed and board.field == key)
    return _with(state, field=key, listed=listed, typed="", fault="")


def set_field(state: State, key: str, value: Any) -> State:
    """A row has a value now: a step of the history."""
    board = state.board
    assert board is not None
    command = set_command(board, key, value)
    state = _with(state, listed=False, typed="")
    if command is None:
        return state
    pick = board.pick
    if key == "name" and pick is not None:
        pick = Pick(replace(pick.item, name=str(value).strip()))
        return acted(state, command, choose=pick)
    return acted(state, command, f"{board.pick} {key}")


def chosen(state: State, key: str, value: Any) -> State:
    """A value chosen by a press: letters are tools again, not words of the row."""
    return _with(set_field(state, key, value), field=None)


def step_value(state: State, by: int) -> State:
    """The next or previous value of the row that has the keys."""
    board = state.board
    assert board is not None
    one = field(board, board.field)
    if one is None:
        return _with(state, fault="No row of the panel has the keys; Page down gives them to one")
    if one.options:
        at = one.options.index(one.value) + by if one.value in one.options else 0
        return set_field(state, one.key, one.options[at % len(one.options)])
    if one.step and one.value is not None:
        value = one.value + by * one.step
        whole = one.unit == "whole"
        return set_field(state, one.key, int(value) if whole else round(value, 6))
    return state


def taken(state: State) -> State:
    """Enter in a row: what is typed becomes its value; with nothing typed its list opens."""
    board = state.board
    assert board is not None
    one = field(board, board.field)
    if one is None:
        return _with(state, field=None)
    if not board.typed:
        return open_field(state, one.key)
    value = typed_value(one, board)
    if value is None:
        wanted = {"m": "a length, such as 2.5 m or 8 ft 6 in", "A": "amperes", "V": "volts",
                  "mA": "milliamperes",
                  "whole": "a whole number"}.get(one.unit, "one of the list")  # fmt: skip
        return _with(state, fault=f"{one.label}: '{board.typed}' is not {wanted}")
    return set_field(state, one.key, value)


def typed_value(one: Field, board: Board) -> Any:
    """What is typed, as the row has it; None where it is nothing of the kind."""
    text = board.typed.strip()
    if one.key == "aim":
        return text if text in one.options else _number(text.rstrip("°"))
    if one.unit == "m":
        return typed_length_m(text, board.house.units)
    if one.unit == "whole":
        return int(text) if text.isdigit() else None
    if one.unit in ("A", "V", "mA"):
        return _number(text.removesuffix(one.unit))
    if one.key in ("chain", "parts"):
        parts = tuple(part.strip() for part in text.replace("→", ",").split(",") if part.strip())
        return parts or None
    if one.options:
        begins = [option for option in one.options if str(option).startswith(text)]
        return begins[0] if begins else None
    return text or None


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None
