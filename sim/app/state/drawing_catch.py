"""The cross caught by what is near, as the board's switches allow. Pure."""

from __future__ import annotations

from typing import cast

from layouts import House
from layouts.kept_with import kept_with_first
from sim.app.edit.commands import Item, PointM
from sim.app.edit.lengths import rounded_m
from sim.app.edit.photo_sight import photo_edge_at
from sim.app.edit.ruler import grid
from sim.app.edit.sights import Sights, sights_of
from sim.app.edit.snap import Family, snapped
from sim.app.state.drawing import LINES, Board, Catch
from sim.app.state.drawing_typed import start_m
from sim.light.materials import LEAFY, LYING

#: The press reaches so many pixels; a grid cell is told from it.
REACH_PX = 9.0
#: A surface with more corners catches nothing.
MOST_CORNERS = 12


def caught(board: Board, at_m: PointM, reach_m: float) -> tuple[PointM, Catch | None]:
    """Where the cross is taken to be for a pointer at `at_m`, and what holds it there."""
    units = board.house.units
    fine = _rounded(at_m, units)
    placing = board.tool in LINES or board.tool in ("place", "supply")
    if not (placing or board.grab is not None) or not board.caught_by or reach_m <= 0:
        return fine, None
    families = cast("set[Family]", board.caught_by - {"grid"})
    before = board.line[-2] if len(board.line) > 1 else None
    photo = None
    if board.sight is not None and "photo" in families:
        photo = photo_edge_at(board.sight, board.house, at_m, reach_m)
    found = snapped(_sights(board.house, _held(board)), at_m, reach_m, families=families,
                    last_m=start_m(board), before_m=before, photo=photo)  # fmt: skip
    if found.kind:
        return _rounded(found.to_m, units), Catch(found.text, found.guides)
    own = _own_corner(board, at_m, reach_m)
    if own is not None:
        return own, Catch("corner of this line")
    if "grid" in board.caught_by:
        step = grid(units, REACH_PX / reach_m).step_m
        on = (round(at_m[0] / step) * step, round(at_m[1] / step) * step)
        return _rounded(on, units), Catch("grid")
    return fine, None


def _rounded(at_m: PointM, units: str) -> PointM:
    return round(rounded_m(at_m[0], units), 6), round(rounded_m(at_m[1], units), 6)


def _held(board: Board) -> tuple[Item, ...]:
    """What is being moved catches nothing."""
    if board.grab is None:
        return ()
    return tuple(dict.fromkeys([board.grab.pick.item, *(pick.item for pick in board.picks)]))


@kept_with_first
def _sights(house: House, but: tuple[Item, ...]) -> Sights:
    """What a house offers, made once while one thing is drawn or held."""
    # trees, hedges and the ground are nothing to line up with
    ragged = [
        Item("surface", one.name)
        for one in house.drawing.surfaces
        if len(one.outline_m) > MOST_CORNERS or one.material.texture in (LEAFY | LYING)
    ]
    return sights_of(house, (*but, *ragged))


def _own_corner(board: Board, at_m: PointM, reach_m: float) -> PointM | None:
    """A corner of the line being drawn, the last one left out."""
    for corner in board.line[:-1]:
        if max(abs(corner[0] - at_m[0]), abs(corner[1] - at_m[1])) <= reach_m:
            return corner
    return None
