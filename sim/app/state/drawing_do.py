"""What tools make: wishes of the board as commands on the draft, done or refused in words. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from itertools import count

import numpy as np

from layouts import EvenfallError, House
from layouts.records import AS_PHOTOGRAPHED
from sim.app.edit.commands import (
    AddCut,
    AddOutput,
    AddPlace,
    AddRun,
    AddSupply,
    AddSurface,
    AddWire,
    AddZone,
    Command,
    Item,
    MoveCut,
    MovePoint,
    PointM,
    Rename,
    SetKey,
    ShiftBy,
    SpotM,
)
from sim.app.edit.draft import Draft, house_of, made
from sim.app.state.drawing import Board, Pick
from sim.app.state.drawing_things import (
    cut_near,
    nearest_on_path,
    pad_near,
    points_of,
    spot_of,
    there,
)
from sim.app.state.history import stepped
from sim.app.state.questions import said
from sim.app.state.record import State

#: What a new thing is made of until somebody chooses [common practice, no source].
SUPPLY_A, WIRE, FUSE_A = 10.0, "14 AWG", 7.5
#: How much longer than the straight way a wire is first taken to be [common practice, no source].
SLACK_M = 0.5
NO_SUPPLY = "A feed starts at a supply, and there is none yet: put a supply first (B)"
#: How near to a place a supply must be put to be mounted at it [m].
AT_PLACE_M = 0.25


def acted(state: State, command: Command, joins: str = "", choose: Pick | None = None) -> State:
    """The state with a command done and a step in the history; refused: as it was, and why."""
    board = state.board
    assert board is not None
    try:
        draft = made(board.draft, command, board.house)
        house = house_of(draft, board.house)
    except EvenfallError as error:
        return replace(state, board=replace(board, fault=first_line(error), grab=None))
    except KeyError as error:
        words = f"{error.args[0] if error.args else error}"
        return replace(state, board=replace(board, fault=words, grab=None))
    picks = tuple(pick for pick in board.picks if there(house, pick))
    if choose is not None:
        picks = (choose,) if there(house, choose) else ()
    now = replace(
        board,
        draft=draft,
        house=house,
        picks=picks,
        fault="",
        fault_m=None,
        grab=None,
        catch=None,
        hover=None,
    )
    after = replace(state, draft=draft, board=now)
    if draft.notes and not _own(board, command):
        after = replace(after, message=said("; ".join(draft.notes)))
    return stepped(state, after, command.label, joins)


def _own(board: Board, command: Command) -> bool:
    """Whether a name is changed that no file knows yet: nobody has to be told."""
    if not isinstance(command, Rename) or board.base is None:
        return False
    item = command.item
    held = board.base.data.get("zones" if item.sort == "zone" else f"{item.sort}s") or ()
    named = held if item.sort == "zone" else [one.get("name") for one in held]
    return item.name not in named


def first_line(error: Exception) -> str:
    """The first of the lines that an error says, without the file's name before it."""
    line = str(error).partition("\n")[0]
    head, _, rest = line.partition(": ")
    return rest if rest and head.rsplit(":", 1)[-1].isdigit() else line


def dropped(board: Board) -> Command | None:
    """The command that puts down what is held where the cross is; None where nothing moves."""
    grab = board.grab
    if grab is None or not grab.moved:
        return None
    x, y = board.cross_m
    dx, dy = x - grab.from_m[0], y - grab.from_m[1]
    if abs(dx) < 1e-9 and abs(dy) < 1e-9:
        return None
    pick = grab.pick
    item = pick.item
    if pick.cut is not None:
        to = cut_near(board.house.run(str(item.name)), (x, y))
        return MoveCut(str(item.name), pick.cut, to) if to != pick.cut else None
    if item.sort == "wire":
        return _moved_end(board, pick, (x, y))
    if pick.corner is not None:
        return MovePoint(item, pick.corner, (x, y))
    items = tuple(dict.fromkeys(one.item for one in board.picks if one.whole)) or (item,)
    if item.sort in ("supply", "output"):
        return SetKey(item, "at", spot_at(board.house, (x, y)))
    return ShiftBy(items if item in items else (item,), dx, dy)


def _moved_end(board: Board, pick: Pick, at_m: PointM) -> Command | None:
    """An end of a wire set to the nearest pad: of its own run, or of a run that is nearer."""
    wire = board.house.wires[int(pick.item.name)]
    end = (wire.start, wire.end)[pick.corner or 0]
    if pick.corner is None or end.kind != "run":
        return None
    run = board.house.run(end.name)
    other = nearest_run(board.house, at_m)
    if other is not None and other[1] < 0.15 and other[0] != run.name:
        run = board.house.run(other[0])
    to = pad_near(run, at_m)
    return SetKey(pick.item, "to" if pick.corner else "from", to) if to != end.text else None


def nearest_run(house: House, at_m: PointM) -> tuple[str, float] | None:
    """(name, distance [m]) of the run nearest to a point."""
    found = [(run.name, nearest_on_path(run.path_m, at_m)[0]) for run in house.runs]
    return min(found, key=lambda one: one[1], default=None)


def spot_at(house: House, at_m: PointM) -> SpotM:
    """The place at a point, by its name, or the point itself [m]."""
    for place in house.places:
        if np.hypot(place.xy_m[0] - at_m[0], place.xy_m[1] - at_m[1]) <= AT_PLACE_M:
            return place.name
    return at_m


def new_name(stem: str, taken: Iterable[str]) -> str:
    """`stem`, or the first `stem-2`, `stem-3` … that is free."""
    held = set(taken)
    if stem not in held:
        return stem
    return next(name for number in count(2) if (name := f"{stem}-{number}") not in held)


def names(house: House) -> set[str]:
    """Every name that is taken."""
    parts = (house.runs, house.supplies, house.outputs, house.places, house.routes,
             house.drawing.surfaces)  # fmt: skip
    taken = {one.name for part in parts for one in part}  # type: ignore[attr-defined]
    junctions = {end.name for wire in house.wires for end in (wire.start, wire.end)}
    return taken | set(house.zones) | junctions


def new_run(board: Board, line: tuple[PointM, ...]) -> tuple[Command, Pick]:
    """A run along a line, like the run nearest to its start, else of a common kind."""
    house = board.house
    name = new_name("run", names(house))
    near = nearest_run(house, line[0])
    before = house.run(near[0]) if near is not None else None
    kind = before.kind.name if before else "ws2812b-v5"
    aim = before.aim if before else "down"
    standoff = before.standoff_m if before else 0.3
    profile = before.profile.name if before else None
    return AddRun(name, line, kind, aim, standoff, profile), Pick(Item("run", name))


def new_surface(board: Board, line: tuple[PointM, ...]) -> tuple[Command, Pick]:
    """A surface inside a line, of the material and depth of what is chosen, else of the last."""
    house = board.house
    name = new_name("surface", names(house))
    surfaces = house.drawing.surfaces
    like = next((one for one in surfaces if board.pick and one.name == board.pick.item.name), None)
    like = like or (surfaces[-1] if surfaces else None)
    material: str | None = "lap-siding-white"
    if like is not None:
        material = None if like.material is AS_PHOTOGRAPHED else like.material.name
    elif house.drawing.photo is not None:
        material = None
    depth = like.depth_m if like else 0.0
    return AddSurface(name, line, material, depth), Pick(Item("surface", name))


def new_place(board: Board, at_m: PointM) -> tuple[Command, Pick]:
    """A place: dry and with a socket until told otherwise would be a promise; so neither."""
    name = new_name("place", names(board.house))
    return AddPlace(name, at_m), Pick(Item("place", name))


def new_supply(board: Board, at_m: PointM) -> tuple[Command, Pick]:
    """A supply box for the voltage of the house's runs."""
    name = new_name("supply", names(board.house))
    volts = board.house.runs[0].kind.supply_v if board.house.runs else 5.0
    made_ = AddSupply(name, volts, SUPPLY_A, spot_at(board.house, at_m))
    return made_, Pick(Item("supply", name))


def new_feed(board: Board, run: str, at_m: PointM) -> tuple[Command, Pick] | str:
    """A fused wire from the chosen supply, else the nearest, to the pad of a run; or why not."""
    house = board.house
    if not house.supplies:
        return NO_SUPPLY
    spots = {one.name: spot_of(house, Item("supply", one.name)) for one in house.supplies}
    chosen = str(board.pick.item.name) if board.pick and board.pick.item.sort == "supply" else ""
    reach = {name: float(np.hypot(xy[0] - at_m[0], xy[1] - at_m[1])) if xy else 1e6
             for name, xy in spots.items()}  # fmt: skip
    start = chosen if chosen in spots else min(reach, key=reach.__getitem__)
    way_m = reach[start] if reach[start] < 1e6 else 2.0
    end = pad_near(house.run(run), at_m)
    wire = AddWire(start, end, WIRE, round(way_m + SLACK_M, 1), FUSE_A)
    return wire, Pick(Item("wire", len(house.wires)))


def new_cut(board: Board, run: str, at_m: PointM) -> tuple[Command, Pick]:
    """A cut between the two pixels nearest to a point."""
    before = cut_near(board.house.run(run), at_m)
    return AddCut(run, before), Pick(Item("run", run), cut=before)


def new_output(board: Board) -> tuple[Command, Pick]:
    """A data port with the runs gathered, named by the next letter."""
    taken = {one.name for one in board.house.outputs}
    letters = (chr(ord("A") + index) for index in range(26))
    name = next((one for one in letters if one not in taken), new_name("port", taken))
    return AddOutput(name, board.members), Pick(Item("output", name))


def new_zone(board: Board) -> tuple[Command, Pick]:
    """A zone of the runs gathered."""
    name = new_name("zone", names(board.house))
    return AddZone(name, board.members), Pick(Item("zone", name))


def begun(draft: Draft, house: House, base: Draft | None = None) -> Board:
    """The board with a draft on it, its cross in the middle of the house.

    `base` is the draft that the window began with.
    """
    width, height = house.drawing.size_m
    middle = (round(width / 2, 2), round(height / 2, 2))
    return Board(draft, house, base or draft, free_m=middle, cross_m=middle)


def shown_points(board: Board, item: Item) -> np.ndarray:
    """(K, 2) [m] the points of a thing as it is held now."""
    points = points_of(board.house, item)
    grab = board.grab
    if grab is None or not len(points):
        return points
    if grab.pick.item == item and grab.pick.corner is not None and item.sort != "wire":
        points = points.copy()
        points[grab.pick.corner] = board.cross_m
        return points
    held = {one.item for one in board.picks if one.whole} | {grab.pick.item}
    if grab.pick.whole and item in held:
        return points + (np.array(board.cross_m) - np.array(grab.from_m))
    return points
