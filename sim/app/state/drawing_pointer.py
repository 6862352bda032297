"""What the pointer means on the drawing board: the house, and the panel beside it. Pure."""

from __future__ import annotations

from collections.abc import Iterator

from sim.app.state import actions as act
from sim.app.state import drawing_actions as draw
from sim.app.state.drawing_catch import REACH_PX
from sim.app.state.drawing_layout import PanelPart, panel_height
from sim.app.state.drawing_sight import Sight, sight_of
from sim.app.state.record import State
from sim.app.state.window_layout import Layout

#: Two presses within this are a double click [s].
TWICE_S = 0.4


def board_sight(state: State, parts: Layout) -> Sight:
    """How the house is seen while it is drawn."""
    board = state.board
    assert board is not None
    return sight_of(board.house, (parts.scene.w, parts.scene.h), board.zoom, board.centre)


def board_pressed(
    state: State, parts: Layout, panel: tuple[PanelPart, ...], x: int, y: int, *,
    also: bool = False, twice: bool = False,
) -> Iterator[act.Action]:  # fmt: skip
    """A press of the main button at (x, y) [px]."""
    if parts.drawer.holds(x, y):
        part = part_at(state, parts, panel, x, y)
        if part is not None and part.action is not None:
            yield part.action
    elif parts.picture.holds(x, y):
        sight = board_sight(state, parts)
        reach_m = parts.px(REACH_PX) / sight.px_per_m
        yield draw.PressAt(sight.to_m(x, y), reach_m, also, twice)
        yield act.Drag("board")


def board_moved(
    state: State, parts: Layout, at: tuple[int, int], rel: tuple[int, int] = (0, 0),
    pan: bool = False,
) -> Iterator[act.Action]:  # fmt: skip
    """The pointer moved to a place [px] by `rel`; `pan` while the second button is down."""
    x, y = at
    if pan and parts.picture.w:
        yield draw.MoveView(-rel[0] / parts.picture.w, rel[1] / parts.picture.h)
    elif parts.picture.holds(x, y) or state.drag == "board":
        sight = board_sight(state, parts)
        yield draw.PointTo(sight.to_m(x, y), parts.px(REACH_PX) / sight.px_per_m)


def board_turned(
    state: State, parts: Layout, panel: tuple[PanelPart, ...], x: int, y: int, notches: float
) -> Iterator[act.Action]:
    """The wheel: larger or smaller over the house, up and down over the panel."""
    part = part_at(state, parts, panel, x, y) if parts.drawer.holds(x, y) else None
    if part is not None and part.form == "field" and part.on and notches:
        yield draw.StepValue(1 if notches > 0 else -1)
    elif parts.drawer.holds(x, y):
        limit = max(panel_height(panel, parts) - parts.drawer.h, 0)
        yield act.Scroll(-48 * notches, limit / parts.scale)
    elif parts.picture.holds(x, y):
        about = ((x - parts.picture.x) / parts.picture.w, (y - parts.picture.y) / parts.picture.h)
        yield draw.Enlarge(1 if notches > 0 else -1, about)


def part_at(
    state: State, parts: Layout, panel: tuple[PanelPart, ...], x: int, y: int
) -> PanelPart | None:
    """The part of the panel under a place of the screen."""
    at_x = x - parts.drawer.x
    at_y = y - parts.drawer.y + round(state.scroll * parts.scale)
    return next(
        (one for one in reversed(panel) if one.action and one.place.holds(at_x, at_y)), None
    )
