"""What is laid over the house while it is drawn: its lines, what is chosen, held and begun."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pygame

from sim.app.edit.commands import Item
from sim.app.state.drawing import GATHERS, Board, Pick
from sim.app.state.drawing_do import shown_points
from sim.app.state.drawing_sight import Sight
from sim.app.state.drawing_things import (
    LINED,
    cut_near,
    cut_xy_m,
    end_xy_m,
    handles,
    item_words,
    pad_near,
    pad_xy_m,
    points_of,
    spot_of,
)
from sim.app.state.drawing_typed import line_words, path_words, start_m
from sim.app.state.window_layout import Rect
from sim.app.view import drawing_marks as mark
from sim.app.view import theme
from sim.app.view.brush import Brush


def draw_board(brush: Brush, picture: Rect, board: Board, sight: Sight) -> None:
    """Everything, from back to front; the clip is the picture."""
    _routes(brush, board, sight)
    _outlines(brush, board, sight)
    _runs(brush, board, sight)
    _wires(brush, board, sight)
    _spots(brush, board, sight)
    _handles(brush, board, sight)
    _line(brush, picture, board, sight)
    _cross(brush, picture, board, sight)
    if board.fault_m is not None:
        _where(brush, sight.at_px(board.fault_m))


def _chosen(board: Board, item: Item) -> bool:
    return any(pick.item == item for pick in board.picks)


def _over(board: Board, item: Item) -> bool:
    return board.hover is not None and board.hover.item == item and board.tool == "select"


def _routes(brush: Brush, board: Board, sight: Sight) -> None:
    for route in board.house.routes:
        item = Item("route", route.name)
        at = sight.to_px(shown_points(board, item))
        colour = mark.CHOSEN if _chosen(board, item) else theme.FAINT
        for a, b in pairwise(at):
            mark.dashes(brush, tuple(a), tuple(b), colour)


def _outlines(brush: Brush, board: Board, sight: Sight) -> None:
    """Surfaces show themselves; only the one meant, and those chosen, have their outline drawn."""
    for surface in board.house.drawing.surfaces:
        item = Item("surface", surface.name)
        chosen = _chosen(board, item)
        if not chosen and not _over(board, item):
            continue
        at = sight.to_px(shown_points(board, item))
        if board.grab is not None and chosen:
            _veil(brush, at)
        mark.stroke(brush, at, mark.CHOSEN if chosen else theme.AMBER, 2 if chosen else 1.2,
                    closed=True)  # fmt: skip


def _veil(brush: Brush, at: np.ndarray) -> None:
    """Where a surface is held, its shape as a pale sheet: it is painted once it is dropped."""
    low = np.floor(at.min(axis=0)).astype(int)
    size = np.ceil(np.ptp(at, axis=0)).astype(int) + 2
    clip = brush.surface.get_clip()
    box = pygame.Rect(int(low[0]), int(low[1]), int(size[0]), int(size[1])).clip(clip)
    if box.w <= 0 or box.h <= 0:
        return
    sheet = pygame.Surface(box.size, pygame.SRCALPHA)
    pygame.draw.polygon(sheet, (255, 244, 224, 84), [(x - box.x, y - box.y) for x, y in at])
    brush.surface.blit(sheet, box.topleft)


def _runs(brush: Brush, board: Board, sight: Sight) -> None:
    for run in board.house.runs:
        item = Item("run", run.name)
        at = sight.to_px(shown_points(board, item))
        member = run.name in board.members or _in_zone(board, run.name)
        colour = theme.AMBER
        if _chosen(board, item):
            colour = mark.CHOSEN
        elif member:
            colour = mark.MEMBER
        width = 2.6 if _over(board, item) or member else 1.6
        mark.stroke(brush, at, colour, width)
        mark.start_mark(brush, at, colour)
        for cut in run.cuts:
            mark.cut_mark(brush, _cut_px(board, sight, run.name, cut), theme.OVER)
    if board.tool in GATHERS:
        for number, name in enumerate(board.members, 1):
            points = points_of(board.house, Item("run", name))
            middle = tuple(sight.to_px(points.mean(axis=0)))
            mark.dot(brush, middle, mark.MEMBER, 8)
            h = brush.size("0", theme.SMALL, bold=True)[1]
            brush.text(str(number), middle[0], middle[1] - h / 2, theme.NIGHT, theme.SMALL,
                       bold=True, align="centre")  # fmt: skip


def _in_zone(board: Board, run: str) -> bool:
    """Whether a run belongs to the chosen zone or port."""
    pick = board.pick
    if pick is None:
        return False
    if pick.item.sort == "zone":
        zone = board.house.zones.get(str(pick.item.name))
        return zone is not None and any(part.partition("[")[0] == run for part in zone.parts)
    if pick.item.sort == "output":
        return any(one.name == pick.item.name and run in one.chain for one in board.house.outputs)
    return False


def _cut_px(board: Board, sight: Sight, run_name: str, cut: int) -> tuple[float, float]:
    run, grab = board.house.run(run_name), board.grab
    if grab is not None and grab.pick == Pick(Item("run", run_name), cut=cut):
        cut = cut_near(run, board.cross_m)
    return sight.at_px(cut_xy_m(run, cut))


def _wires(brush: Brush, board: Board, sight: Sight) -> None:
    """Straight from end to end, as they are meant and not as they lie; a dot on the run."""
    for index, wire in enumerate(board.house.wires):
        item = Item("wire", index)
        chosen = _chosen(board, item)
        ends = []
        for number, end in enumerate((wire.start, wire.end)):
            at = end_xy_m(board.house, end)
            spot = Item("supply", end.name)
            if end.kind == "supply" and at is not None:
                points = shown_points(board, spot)
                at = (float(points[0][0]), float(points[0][1]))
            grab = board.grab
            if grab is not None and grab.pick == Pick(item, number) and end.kind == "run":
                at = _pad_m(board, end.name)
            ends.append(sight.at_px(at) if at is not None else None)
        colour = mark.CHOSEN if chosen else mark.COPPER
        if ends[0] is not None and ends[1] is not None:
            mark.dashes(brush, ends[0], ends[1], colour, 5)
        for end, at_px in zip((wire.start, wire.end), ends, strict=True):
            if end.kind == "run" and at_px is not None:
                mark.dot(brush, at_px, colour, 5 if _over(board, item) else 4)


def _pad_m(board: Board, run_name: str) -> tuple[float, float]:
    """The pad nearest to the cross."""
    run = board.house.run(run_name)
    text = pad_near(run, board.cross_m)
    pad = 0 if text.endswith(".start") else run.count + 1 if text.endswith(".end") else (
        int(text.rpartition("[")[2].rstrip("]")) + 1)  # fmt: skip
    return pad_xy_m(run, pad)


def _spots(brush: Brush, board: Board, sight: Sight) -> None:
    house = board.house
    for place in house.places:
        item = Item("place", place.name)
        at = sight.to_px(shown_points(board, item)[0])
        mark.place_mark(brush, tuple(at), mark.CHOSEN if _chosen(board, item) else theme.AMBER)
    for sort, held in (("supply", house.supplies), ("output", house.outputs)):
        for one in held:  # type: ignore[attr-defined]
            item = Item(sort, one.name)  # type: ignore[arg-type]
            if spot_of(house, item) is None:
                continue
            at = sight.to_px(shown_points(board, item)[0])
            sign = "+ −" if sort == "supply" else one.name[:3]
            colour = mark.CHOSEN if _chosen(board, item) else mark.COPPER
            mark.box_mark(brush, tuple(at), colour, sign)


def _handles(brush: Brush, board: Board, sight: Sight) -> None:
    """Corners that can be taken, of what is chosen."""
    for pick in board.picks:
        points = shown_points(board, pick.item)
        for one, xy in handles(board.house, pick):
            at = sight.at_px(xy)
            if pick.item.sort in LINED and one.corner is not None:
                at = tuple(sight.to_px(points[one.corner]))  # type: ignore[assignment]
            meant = one in board.picks or one == board.hover
            mark.corner(brush, at, theme.AMBER if meant else mark.CHOSEN, filled=one in board.picks)


def _line(brush: Brush, picture: Rect, board: Board, sight: Sight) -> None:
    """Corners so far, and the rubber line to the cross with its length, angle and pitch."""
    limit = (picture.w, picture.h)
    units = board.house.units
    cross = sight.at_px(board.cross_m)
    if board.line:
        at = [sight.at_px(point) for point in board.line]
        measured = board.tool == "ruler" and len(at) == 2
        mark.stroke(brush, at, theme.AMBER, 2)
        if not measured:
            mark.stroke(brush, [at[-1], cross], theme.AMBER, 2)
        if board.tool == "surface" and len(at) > 1:
            mark.dashes(brush, cross, at[0], theme.FAINT, 4)
        for point in at:
            mark.corner(brush, point, theme.AMBER)
        end = board.line[1] if measured else board.cross_m
        begin = board.line[0] if measured else board.line[-1]
        if begin == end:
            return
        words = line_words(begin, end, units)
        if board.tool == "run" and len(board.line) > 1:
            whole = np.array([*board.line, board.cross_m])
            words += f"  ·  {path_words(whole, units)} in all"
        mark.label(brush, words, at[1] if measured else cross, limit, bold=True)
        return
    start = start_m(board)
    if board.grab is not None and start is not None and board.grab.moved:
        mark.dashes(brush, sight.at_px(start), cross, theme.AMBER, 4)
        mark.label(brush, line_words(start, board.cross_m, units), cross, limit, bold=True)
    elif board.hover is not None and board.tool == "select" and board.grab is None:
        mark.label(brush, item_words(board.hover.item), sight.at_px(board.free_m), limit)


def _cross(brush: Brush, picture: Rect, board: Board, sight: Sight) -> None:
    at = sight.at_px(board.cross_m)
    if board.catch is not None:
        for a, b in board.catch.lines:
            mark.dashes(brush, sight.at_px(a), sight.at_px(b), mark.MEMBER, 4)
        pygame.draw.aacircle(brush.surface, mark.MEMBER, (round(at[0]), round(at[1])), brush.px(7),
                             brush.px(2))  # fmt: skip
        up = (at[0], at[1] - brush.px(44))
        mark.label(brush, board.catch.why, up, (picture.w, picture.h), mark.MEMBER)
    busy = board.tool != "select" or board.grab is not None
    reach = brush.px(11 if busy else 6)
    for width, colour in ((3.5, mark.UNDER), (1.4, theme.WARM)):
        for dx, dy in ((reach, 0), (0, reach)):
            pygame.draw.line(brush.surface, colour, (at[0] - dx, at[1] - dy),
                             (at[0] + dx, at[1] + dy), brush.px(width))  # fmt: skip


def _where(brush: Brush, at: tuple[float, float]) -> None:
    """A red ring and a cross in it: here it would go wrong."""
    x, y, s = round(at[0]), round(at[1]), brush.px(5)
    pygame.draw.circle(brush.surface, mark.UNDER, (x, y), brush.px(13), brush.px(5))
    pygame.draw.circle(brush.surface, theme.OVER, (x, y), brush.px(12), brush.px(2.5))
    for dy in (-s, s):
        pygame.draw.line(brush.surface, theme.OVER, (x - s, y - dy), (x + s, y + dy), brush.px(2.5))
