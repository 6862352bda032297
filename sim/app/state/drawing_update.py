"""The drawing board after an action. No clock, no file, no screen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from layouts import EvenfallError
from sim.app.edit.commands import Delete, Item
from sim.app.edit.draft import Draft, house_of
from sim.app.state import drawing_actions as act
from sim.app.state import drawing_panel as panel
from sim.app.state.drawing import CATCHES, GATHERS, MOST_ZOOM, Board, Grab, Pick, rested
from sim.app.state.drawing_catch import caught
from sim.app.state.drawing_do import acted, begun, dropped
from sim.app.state.drawing_reshape import (
    add_corner,
    mirrored,
    nudged,
    raised,
    repeated,
    step_corner,
    step_m,
    step_thing,
)
from sim.app.state.drawing_things import pick_at, there
from sim.app.state.drawing_tools import ended, pressed, put
from sim.app.state.drawing_typed import typed_end
from sim.app.state.questions import said
from sim.app.state.record import State


def on_board(state: State, action: Any) -> State:
    """The state after an action of the board; as it was where no board is there to take it."""
    if isinstance(action, act.BoardOpened):
        return _opened(state, action)
    if isinstance(action, act.DraftFiled):
        return replace(state, filed=action.text, filed_digest=action.digest)
    if state.board is None:
        return state
    return _HANDLERS[type(action)](state, action)


def followed(state: State) -> State:
    """The board showing the draft of the state: after an undo that is another one."""
    board = state.board
    if board is None:
        return state
    draft = state.draft if state.draft is not None else board.base
    if draft is None or draft is board.draft:
        return state
    assert isinstance(draft, Draft)
    try:
        house = house_of(draft, board.house)
    except EvenfallError as error:
        return replace(state, board=replace(board, fault=str(error)))
    picks = tuple(pick for pick in board.picks if there(house, pick))
    return replace(state, board=replace(rested(board), draft=draft, house=house, picks=picks))


def _opened(state: State, action: act.BoardOpened) -> State:
    if state.board is not None:  # the file is another one: how one looks at it stays
        picks = tuple(pick for pick in state.board.picks if there(action.house, pick))
        return _with(replace(state, board=rested(state.board)), draft=action.draft,
                     house=action.house, base=action.base or action.draft, picks=picks,
                     sight=action.sight)  # fmt: skip
    board = replace(begun(action.draft, action.house, action.base), sight=action.sight)
    return replace(
        state,
        board=board,
        selection=None,
        help=False,
        focus=None,
        compare=False,
        drawer=True,
        drawer_open=1.0,
        scroll=0.0,
    )


def _close(state: State, _: act.CloseBoard) -> State:
    return replace(state, board=None, drawer=False)


def _with(state: State, **changes: Any) -> State:
    assert state.board is not None
    return replace(state, board=replace(state.board, **changes))


def _board(state: State) -> Board:
    assert state.board is not None
    return state.board


def _use_tool(state: State, action: act.UseTool) -> State:
    board = replace(rested(_board(state)), tool=action.tool, field=None)
    if action.tool != "select" and action.tool not in GATHERS and action.tool != "feed":
        board = replace(board, picks=())
    return replace(state, board=board)


def _point(state: State, action: act.PointTo) -> State:
    """The pointer moves: the cross follows, caught by what is near."""
    board = _board(state)
    grab = board.grab
    dx, dy = grab.off_m if grab is not None else (0.0, 0.0)
    at_m = (action.at_m[0] + dx, action.at_m[1] + dy)
    cross, catch = caught(board, at_m, action.reach_m)
    if board.typed:
        held = typed_end(board, cross)
        cross, catch = (held, None) if held is not None else (cross, catch)
    hover = board.hover
    if board.grab is None and not board.line:
        hover = pick_at(board.house, action.at_m, action.reach_m, board.picks)
    if grab is not None and not grab.moved:
        away = max(abs(at_m[0] - grab.from_m[0]), abs(at_m[1] - grab.from_m[1]))
        if away < action.reach_m * 0.4:  # a press that shook is no drag
            return _with(state, free_m=action.at_m, cross_m=grab.from_m, catch=None)
        grab = replace(grab, moved=True)
    return _with(state, free_m=action.at_m, cross_m=cross, catch=catch, hover=hover, grab=grab)


def _press(state: State, action: act.PressAt) -> State:
    board = _board(state)
    if board.grab is not None and board.grab.by_keys:
        return _let_go(state, act.LetGo())
    if action.twice and board.line:
        return _done(state, act.Done())
    return pressed(_point(state, act.PointTo(action.at_m, action.reach_m)), action)


def _use_point(state: State, _: act.UsePoint) -> State:
    board = _board(state)
    if board.grab is not None:
        return _let_go(state, act.LetGo())
    if board.tool == "select":
        if board.pick is None:
            return pressed(state, act.PressAt(board.cross_m, 10 * step_m(board)))
        return _grab(state, act.GrabIt())
    return put(state, board.cross_m, 10 * step_m(board))


def _let_go(state: State, _: act.LetGo) -> State:
    board = _board(state)
    if board.grab is None:
        return state
    command = dropped(board)
    if command is None:
        return _with(state, grab=None, catch=None)
    return acted(state, command)


def _grab(state: State, _: act.GrabIt) -> State:
    board = _board(state)
    pick = board.pick
    if pick is None:
        return state
    at = panel.anchor_m(board, pick)
    if at is None:
        words = f"{pick.item} has no place of its own to be moved"
        return _with(state, fault=words)
    grab = Grab(pick, at, by_keys=True, moved=True)
    return _with(state, grab=grab, cross_m=at, free_m=at, catch=None)


def _done(state: State, _: act.Done) -> State:
    """Enter: what is typed holds; a row's list takes its value; a line is complete."""
    board = _board(state)
    if board.field is not None:
        return panel.taken(state)
    if board.typed:
        return _typed(state)
    if board.grab is not None:
        return _let_go(state, act.LetGo())
    return ended(state)


def _typed(state: State) -> State:
    """What is typed becomes a corner, a place of the cross, or where what is held is dropped."""
    board = _board(state)
    end = typed_end(board, board.cross_m)
    if end is None:
        words = f"'{board.typed}' is no length, angle, pitch or place here; F1 shows how to type"
        return _with(state, fault=words)
    state = _with(state, typed="", cross_m=end, free_m=end, catch=None, fault="")
    if board.grab is not None:
        return _let_go(state, act.LetGo())
    if board.line:
        return put(state, end, 0.0)
    return state


def _give_up(state: State, _: act.GiveUp) -> State:
    board = _board(state)
    if board.typed or board.listed:
        return _with(state, typed="", listed=False, fault="")
    if board.field is not None:
        return _with(state, field=None)
    if board.grab is not None or board.line or board.members or board.fault:
        return replace(state, board=rested(board))
    if board.picks:
        return _with(state, picks=())
    if board.tool != "select":
        return _with(state, tool="select")
    words = "Shift D leaves the drawing tools; what is drawn stays in the window"
    return replace(state, message=said(words))


def _take_back(state: State, _: act.TakeBack) -> State:
    board = _board(state)
    if board.typed:
        return _with(state, typed=board.typed[:-1], fault="")
    if board.line:
        return _with(state, line=board.line[:-1], fault="", fault_m=None)
    if board.members:
        return _with(state, members=board.members[:-1])
    return state


def _type(state: State, action: act.TypeIn) -> State:
    board = _board(state)
    typed = (board.typed + action.text)[:64]
    state = _with(state, typed=typed, fault="")
    if board.field is None and board.line:
        end = typed_end(_board(state), board.free_m)
        if end is not None:
            return _with(state, cross_m=end, catch=None)
    return state


def _arrow(state: State, action: act.Arrow) -> State:
    board = _board(state)
    step = step_m(board)
    dx, dy = action.right * step, action.up * step
    if board.grab is None and board.pick is not None and board.tool == "select":
        return nudged(state, dx, dy)
    x, y = board.cross_m
    cross = (round(x + dx, 6), round(y + dy, 6))
    return _with(state, cross_m=cross, free_m=cross, catch=None, fault="", fault_m=None)


def _remove(state: State, action: act.DeleteChosen) -> State:
    board = _board(state)
    if not board.picks:
        return _with(state, fault="Nothing is chosen that could be deleted")
    single = panel.part_removal(board)
    if single is not None:
        return acted(state, single, choose=Pick(board.picks[-1].item))
    items: tuple[Item, ...] = tuple(dict.fromkeys(pick.item for pick in board.picks))
    after = acted(state, Delete(items, action.along))
    fault = after.board.fault if after.board else ""
    if fault and not action.along:
        return _with(after, fault=f"{fault} (Shift Delete takes all of it)")
    return after


def _choose(state: State, action: act.Choose) -> State:
    return _with(state, picks=(action.pick,) if action.pick else (), field=None, listed=False,
                 fault="")  # fmt: skip


def _toggle_catch(state: State, action: act.ToggleCatch) -> State:
    board = _board(state)
    if action.name:
        return _with(state, caught_by=board.caught_by ^ {action.name}, catch=None)
    every = frozenset() if board.caught_by else frozenset(CATCHES) - {"grid"}
    words = "The cross is caught by what is near" if every else "The cross is caught by nothing"
    return replace(_with(state, caught_by=every, catch=None), message=said(words))


def _toggle(state: State, action: act.ToggleBoard) -> State:
    return _with(state, **{action.name: not getattr(_board(state), action.name)})


def _enlarge(state: State, action: act.Enlarge) -> State:
    board = _board(state)
    if not action.steps:
        return _with(state, zoom=1.0, centre=(0.5, 0.5))
    zoom = min(max(board.zoom * 1.25**action.steps, 1.0), MOST_ZOOM)
    zoom = 1.0 if zoom < 1.02 else zoom
    # the place under the pointer stays where it is
    centre = tuple(
        min(max(middle + (at - 0.5) * (1 / board.zoom - 1 / zoom), 0.5 / zoom), 1 - 0.5 / zoom)
        for middle, at in zip(board.centre, action.about, strict=True)
    )
    return _with(state, zoom=zoom, centre=centre)


def _move_view(state: State, action: act.MoveView) -> State:
    board = _board(state)
    reach = 0.5 / board.zoom
    x = min(max(board.centre[0] + action.right / board.zoom, reach), 1 - reach)
    y = min(max(board.centre[1] - action.up / board.zoom, reach), 1 - reach)
    return _with(state, centre=(x, y))


_HANDLERS: dict[type, Callable[[State, Any], State]] = {
    act.CloseBoard: _close,
    act.UseTool: _use_tool,
    act.PointTo: _point,
    act.PressAt: _press,
    act.LetGo: _let_go,
    act.UsePoint: _use_point,
    act.Done: _done,
    act.GiveUp: _give_up,
    act.TakeBack: _take_back,
    act.TypeIn: _type,
    act.StepThing: lambda state, action: step_thing(state, action.by),
    act.StepCorner: lambda state, action: step_corner(state, action.by),
    act.Arrow: _arrow,
    act.GrabIt: _grab,
    act.AddCorner: lambda state, _: add_corner(state),
    act.DeleteChosen: _remove,
    act.Repeat: lambda state, _: repeated(state),
    act.Mirror: lambda state, _: mirrored(state),
    act.Raise: lambda state, action: raised(state, action.places),
    act.Choose: _choose,
    act.StepField: lambda state, action: panel.step_field(state, action.by),
    act.StepValue: lambda state, action: panel.step_value(state, action.by),
    act.OpenField: lambda state, action: panel.open_field(state, action.key),
    act.SetField: lambda state, action: panel.chosen(state, action.key, action.value),
    act.ToggleCatch: _toggle_catch,
    act.ToggleBoard: _toggle,
    act.Enlarge: _enlarge,
    act.MoveView: _move_view,
}
