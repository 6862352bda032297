"""New things of a house, written as its file writes them; cuts of a run."""

from __future__ import annotations

from typing import Any

from sim.app.edit.commands import (
    AddCut,
    AddOutput,
    AddPlace,
    AddRoute,
    AddRun,
    AddSupply,
    AddSurface,
    AddWire,
    AddZone,
    Item,
    MoveCut,
    RemoveCut,
    SpotM,
)
from sim.app.edit.paper import SECTIONS, NotDone, Paper
from sim.app.edit.pixels import count_of
from sim.app.edit.shaping import check_shape


def add_run(paper: Paper, command: AddRun) -> None:
    entry = {
        "name": paper.free_name("run", command.name),
        "pixels": command.kind,
        "path": [paper.point(point) for point in command.path_m],
        "count": command.count,
        "aim": command.aim,
        "standoff": _length(paper, command.standoff_m),
        "profile": command.profile,
        "spare_first": command.spare_first,
    }
    if len(command.path_m) < 2:
        raise NotDone("a run needs two ends; add a point")
    count_of(paper, _given(entry))
    paper.append(SECTIONS["run"], _given(entry))


def add_surface(paper: Paper, command: AddSurface) -> None:
    check_shape(Item("surface", command.name), list(command.outline_m))
    entry = _given(
        {
            "name": paper.free_name("surface", command.name),
            "material": command.material,
            "depth": _length(paper, command.depth_m),
            "outline": [paper.point(point) for point in command.outline_m],
        }
    )
    if command.over is None:
        paper.append(SECTIONS["surface"], entry)
        return
    place = int(paper.where(Item("surface", command.over))[-1]) + 1
    held = paper.entries("surface")
    paper.put(SECTIONS["surface"], [*held[:place], entry, *held[place:]])


def add_place(paper: Paper, command: AddPlace) -> None:
    entry = {
        "name": paper.free_name("place", command.name),
        "at": paper.point(command.at_m),
        "mains": command.mains or None,
        "sheltered": command.sheltered or None,
    }
    paper.append(SECTIONS["place"], _given(entry))


def add_route(paper: Paper, command: AddRoute) -> None:
    if len(command.path_m) < 2:
        raise NotDone("a route needs two ends; add a point")
    path = [paper.point(point) for point in command.path_m]
    entry = {"name": paper.free_name("route", command.name), "path": path}
    paper.append(SECTIONS["route"], entry)


def add_supply(paper: Paper, command: AddSupply) -> None:
    entry = {
        "name": paper.free_name("supply", command.name),
        "volts": command.volts,
        "amps": command.amps,
        "at": spot(paper, command.at),
    }
    paper.append(SECTIONS["supply"], _given(entry))


def add_wire(paper: Paper, command: AddWire) -> None:
    entry = {
        "from": command.start,
        "to": command.end,
        "wire": command.wire,
        "length": paper.length(command.length_m),
        "fuse": command.fuse_a,
    }
    paper.append(SECTIONS["wire"], _given(entry))


def add_output(paper: Paper, command: AddOutput) -> None:
    entry = {
        "name": paper.free_name("output", command.name),
        "chain": list(command.chain),
        "universe": command.universe,
        "fps": command.fps,
        "at": spot(paper, command.at),
    }
    paper.append(SECTIONS["output"], _given(entry))


def add_zone(paper: Paper, command: AddZone) -> None:
    name = paper.free_name("zone", command.name)
    paper.put((*SECTIONS["zone"], name), list(command.parts))


def add_cut(paper: Paper, command: AddCut) -> None:
    _put_cuts(paper, command.run, [*_cuts(paper, command.run), command.before])


def remove_cut(paper: Paper, command: RemoveCut) -> None:
    held = _cuts(paper, command.run)
    place = _cut_index(paper, command.run, command.before)
    _put_cuts(paper, command.run, held[:place] + held[place + 1 :])


def move_cut(paper: Paper, command: MoveCut) -> None:
    held = _cuts(paper, command.run)
    held[_cut_index(paper, command.run, command.before)] = command.to
    _put_cuts(paper, command.run, held)


def spot(paper: Paper, at: SpotM | None) -> Any:
    """Where something is, as a file writes it. Raises NotDone for a place that is not there."""
    if isinstance(at, str):
        paper.where(Item("place", at))
        return at
    return None if at is None else paper.point(at)


def _cuts(paper: Paper, run: str) -> list[Any]:
    return list(paper.entry(Item("run", run)).get("cuts") or [])


def _cut_index(paper: Paper, run: str, before: int) -> int:
    """Which of the cuts of a run, as written, is before that pixel."""
    _, pitch_m, _ = count_of(paper, paper.entry(Item("run", run)))
    for place, cut in enumerate(_cuts(paper, run)):
        if (cut if isinstance(cut, int) else round(paper.metres(cut) / pitch_m)) == before:
            return place
    raise NotDone(f"run '{run}' is not cut before pixel {before}; look at its cuts again")


def _put_cuts(paper: Paper, run: str, cuts: list[Any]) -> None:
    path = (*paper.where(Item("run", run)), "cuts")
    if cuts:
        paper.put(path, cuts)
    else:
        paper.remove(path)


def _length(paper: Paper, value_m: float | None) -> Any:
    return None if value_m is None else paper.length(value_m)


def _given(entry: dict[str, Any]) -> dict[str, Any]:
    """`entry` without what was left open."""
    return {key: value for key, value in entry.items() if value is not None}
