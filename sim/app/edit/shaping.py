"""Moving points and things, and making copies of them: mirrored, or at a step."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any

import numpy as np

from layouts.polygon import first_crossing
from sim.app.edit.commands import (
    InsertPoint,
    Item,
    MirrorAbout,
    MovePoint,
    PointM,
    RemovePoint,
    RepeatBy,
    ShiftBy,
)
from sim.app.edit.follow import mend
from sim.app.edit.paper import POINTS, SECTIONS, NotDone, Paper, rivals

#: Copies made by one command; more is a slip of the pen.
MAX_COPIES = 200
Moved = Callable[[PointM], PointM]


def move_point(paper: Paper, command: MovePoint) -> None:
    points = paper.points(command.item)
    points[_index(command.item, command.index, len(points))] = command.to_m
    set_points(paper, command.item, points, _held(paper, command.item))


def insert_point(paper: Paper, command: InsertPoint) -> None:
    points, held = paper.points(command.item), _held(paper, command.item)
    index = command.index
    if not 0 <= index <= len(points):
        raise NotDone(f"{command.item} has {len(points)} points; put the new one among them")
    held = [*held[:index], None, *held[index:]]
    set_points(paper, command.item, [*points[:index], command.at_m, *points[index:]], held)


def remove_point(paper: Paper, command: RemovePoint) -> None:
    points, held = paper.points(command.item), _held(paper, command.item)
    index = _index(command.item, command.index, len(points))
    least = 3 if command.item.sort == "surface" else 2
    if len(points) <= least:
        what = "three corners" if least == 3 else "two ends"
        raise NotDone(f"{command.item} has only its {what}; delete it instead")
    rest = points[:index] + points[index + 1 :]
    set_points(paper, command.item, rest, held[:index] + held[index + 1 :])


def shift(paper: Paper, command: ShiftBy) -> None:
    def moved(xy_m: PointM) -> PointM:
        return xy_m[0] + command.dx_m, xy_m[1] + command.dy_m

    for item in dict.fromkeys(command.items):
        _move(paper, item, moved)


def mirror(paper: Paper, command: MirrorAbout) -> None:
    """An aim is down, up, to the wall, out, or a turn between down and the wall: none of it has a
    part along the wall to the left or right, so a mirrored run has the same aim."""

    def moved(xy_m: PointM) -> PointM:
        return 2 * command.x_m - xy_m[0], xy_m[1]

    if command.copy:
        _copy(paper, command.items, [moved], _other_side)
    else:
        for item in dict.fromkeys(command.items):
            _move(paper, item, moved)


def repeat(paper: Paper, command: RepeatBy) -> None:
    if not 1 <= command.copies <= MAX_COPIES:
        raise NotDone(f"{command.copies} copies cannot be made; ask for 1 to {MAX_COPIES}")
    if command.dx_m == 0 and command.dy_m == 0:
        raise NotDone("the copies would lie on each other; give a step")

    def moved(number: int) -> Moved:
        return lambda xy_m: (xy_m[0] + number * command.dx_m, xy_m[1] + number * command.dy_m)

    steps = [moved(number) for number in range(1, command.copies + 1)]
    _copy(paper, command.items, steps, lambda name: name)


def set_points(paper: Paper, item: Item, points_m: Iterable[PointM], held: Sequence[Any]) -> None:
    """Gives a run, route or surface these points; `held` is how each was written so far.

    Raises NotDone for an outline that crosses itself and a run too short for a pixel.
    """
    points_m = list(points_m)
    check_shape(item, points_m)
    path, before = paper.where(item), paper.entry(item)
    key = POINTS[item.sort]
    paper.put((*path, key), [paper.point(p, old) for p, old in zip(points_m, held, strict=True)])
    if item.sort == "run":
        mend(paper, int(path[-1]), before)


def check_shape(item: Item, points_m: list[PointM]) -> None:
    """Raises NotDone for points that a surface cannot have."""
    if item.sort != "surface":
        return
    if len(points_m) < 3:
        raise NotDone("a surface needs three corners; add one")
    crossing = first_crossing(np.array(points_m))
    if crossing is not None:
        first, second = (number + 1 for number in crossing)
        raise NotDone(
            f"the outline of {item} would cross itself: the sides after corners {first} and"
            f" {second}; put the corner elsewhere"
        )


def _held(paper: Paper, item: Item) -> list[Any]:
    return list(paper.entry(item)[POINTS[item.sort]])


def _index(item: Item, index: int, count: int) -> int:
    if not 0 <= index < count:
        raise NotDone(f"{item} has {count} points; there is none with number {index + 1}")
    return index


def _move(paper: Paper, item: Item, moved: Moved) -> None:
    if item.sort in POINTS:
        points = [moved(point) for point in paper.points(item)]
        set_points(paper, item, points, _held(paper, item))
        return
    spot = _spot(paper, item)
    at = moved((paper.metres(spot[0]), paper.metres(spot[1])))
    paper.put((*paper.where(item), "at"), paper.point(at, spot))


def _spot(paper: Paper, item: Item) -> list[Any]:
    """Where a place, supply or output is, as written. Raises NotDone where that is no point."""
    if item.sort not in ("place", "supply", "output"):
        raise NotDone(f"{item} has no place of its own; move what it leads to")
    at = paper.entry(item).get("at")
    if isinstance(at, str):
        raise NotDone(f"{item} is mounted at place {at}; move that, or choose another for it")
    if at is None:
        raise NotDone(f"where {item} is has not been said; put it somewhere first")
    return list(at)


def _copy(
    paper: Paper, items: tuple[Item, ...], steps: list[Moved], named: Callable[[str], str]
) -> None:
    items = tuple(dict.fromkeys(items))
    for item in items:
        paper.where(item)
        if item.sort not in (*POINTS, "place", "supply"):
            raise NotDone(f"{item} is not copied; copy runs, surfaces, places, routes or supplies")
    surfaces = paper.names("surface")
    drawn = [item for item in items if item.sort == "surface"]
    drawn.sort(key=lambda item: surfaces.index(str(item.name)))
    last = surfaces.index(str(drawn[-1].name)) + 1 if drawn else 0
    lists = {item.sort: list(paper.entries(item.sort)) for item in items}
    taken = {sort: set(paper.names(sort)) for sort in SECTIONS if sort not in ("wire", "drawing")}
    for moved in steps:
        for item in (*(item for item in items if item.sort != "surface"), *drawn):
            made = _copied(paper, item, moved, named, taken)
            if item.sort == "surface":  # in front of the group before, behind what comes later
                lists["surface"].insert(last, made)
                last += 1
            else:
                lists[item.sort].append(made)
    for sort, entries in lists.items():
        paper.put(SECTIONS[sort], entries)


def _copied(
    paper: Paper,
    item: Item,
    moved: Moved,
    named: Callable[[str], str],
    taken: dict[str, set[str]],
) -> dict[str, Any]:
    """A copy of a thing, moved and with a name of its own, which is `taken` then."""
    entry = paper.entry(item)
    name = paper.new_name(item.sort, named(str(item.name)))
    while any(name in taken[sort] for sort in rivals(item.sort)):
        name = next_name(name)
    taken[item.sort].add(name)
    made = {**entry, "name": name}
    made.pop("missing", None)  # what is put up new is whole
    if item.sort in POINTS:
        points = [moved(point) for point in paper.points(item)]
        check_shape(item, points)
        key = POINTS[item.sort]
        held = entry[key]
        made[key] = [paper.point(p, old) for p, old in zip(points, held, strict=True)]
    else:
        spot = _spot(paper, item)
        at = moved((paper.metres(spot[0]), paper.metres(spot[1])))
        made["at"] = paper.point(at, spot)
    return made


def next_name(name: str) -> str:
    """The name with the next number: `window`, `window-2`, `window-3`."""
    stem, dash, last = name.rpartition("-")
    return f"{stem}-{int(last) + 1}" if dash and last.isdecimal() else f"{name}-2"


def _other_side(name: str) -> str:
    """What a thing on the other side is called: left for right, where the name says it."""
    for one, other in (("left", "right"), ("right", "left"), ("Left", "Right"), ("Right", "Left")):
        if one in name:
            return name.replace(one, other)
    return name
