"""What hangs on a thing follows it: names that are said elsewhere, and what names its pixels."""

from __future__ import annotations

import re
from collections.abc import Callable
from typing import Any

from layouts.points import run_slice, split_end
from sim.app.edit.commands import Item
from sim.app.edit.measured import rename_measured
from sim.app.edit.paper import SECTIONS, NotDone, Paper
from sim.app.edit.pixels import count_of

#: The keys of a wire that say its ends.
ENDS = ("from", "to")
_BARE = re.compile(r"\d+(?:\.\d*)?|\.\d+")


def rename(paper: Paper, item: Item, to: str) -> None:
    """Gives a thing another name, and says it wherever the old one is said."""
    if item.sort in ("wire", "drawing"):
        raise NotDone(f"{item} has no name to change; rename what it leads to")
    path, old = paper.where(item), str(item.name)
    if to == old:
        return
    paper.free_name(item.sort, to, but=old)
    if item.sort == "zone":
        paper.rekey(path, to)
    else:
        paper.put((*path, "name"), to)
    if item.sort in ("run", "zone"):
        paper.notes.append(f"schemes that light '{old}' must say '{to}' now")
    if item.sort in ("run", "supply"):
        _rename_ends(paper, old, to)
        rename_measured(paper, item.sort, old, to)
    if item.sort == "run":
        _each(paper, "output", "chain", lambda name: to if name == old else name)
        for zone, parts in paper.entries("zone").items():
            paper.put(("zones", zone), [_renamed_part(part, old, to) for part in parts])
    if item.sort == "supply":
        _each_value(paper, "output", "common_minus", old, to)
    if item.sort == "place":
        for sort in ("supply", "output"):
            _each_value(paper, sort, "at", old, to)


def _rename_ends(paper: Paper, old: str, to: str) -> None:
    for number, wire in enumerate(paper.entries("wire")):
        for key in ENDS:
            name, point = split_end(wire[key])
            if name == old:
                paper.put(("wires", number, key), to + (point or ""))


def _renamed_part(part: str, old: str, to: str) -> str:
    return to + part.strip()[len(old) :] if run_slice(part).name == old else part


def _each(paper: Paper, sort: str, key: str, change: Callable[[str], str]) -> None:
    for number, entry in enumerate(paper.entries(sort)):
        if key in entry:
            paper.put((*SECTIONS[sort], number, key), [change(each) for each in entry[key]])


def _each_value(paper: Paper, sort: str, key: str, old: str, to: str) -> None:
    for number, entry in enumerate(paper.entries(sort)):
        if entry.get(key) == old:
            paper.put((*SECTIONS[sort], number, key), to)


def mend(paper: Paper, number: int, before: dict[str, Any]) -> None:
    """Makes cuts, feeds and zones of run `number` fit the pixels it has now.

    `before` is its entry as it was. What lay beyond the last pixel moves to it, or goes; each is
    noted. Pixels are counted from the start of data, so what is still there keeps its number.
    """
    run = paper.entries("run")[number]
    count, pitch_m, long_m = count_of(paper, run)
    try:
        was = count_of(paper, before)
    except NotDone:
        was = (0, 0.0, 0.0)
    spares = paper.whole(run.get("spare_first", 0))
    if spares >= count:
        raise NotDone(
            f"run '{run['name']}' would have {count} pixels, all of them spare; make it longer,"
            " or let fewer be spare"
        )
    if (count, pitch_m) == was[:2] and long_m >= was[2]:
        return
    name = run["name"]
    if count != was[0]:
        paper.notes.append(f"run {name} has {count} pixels now, {was[0]} before")
    _mend_cuts(paper, number, run, count, pitch_m)
    _mend_missing(paper, number, run, count)
    for index, wire in enumerate(paper.entries("wire")):
        for key in ENDS:
            end = _mended_end(paper, wire[key], name, count, max(count * pitch_m, long_m))
            if end != wire[key]:
                paper.put(("wires", index, key), end)
                paper.notes.append(f"the wire at {wire[key]} is at {end} now")
    for zone, parts in list(paper.entries("zone").items()):
        _mend_zone(paper, zone, parts, name, count, spares)


def _mend_cuts(paper: Paper, number: int, run: dict[str, Any], count: int, pitch_m: float) -> None:
    kept: list[Any] = []
    seen: set[int] = set()
    for cut in run.get("cuts") or []:
        at = paper.cut_before(cut, pitch_m)
        if 1 <= at <= count - 1 and at not in seen:
            kept.append(cut)
            seen.add(at)
        else:
            paper.notes.append(f"the cut of run {run['name']} before {cut} is gone")
    if len(kept) < len(run.get("cuts") or []):
        if kept:
            paper.put(("runs", number, "cuts"), kept)
        else:
            paper.remove(("runs", number, "cuts"))


def _mend_missing(paper: Paper, number: int, run: dict[str, Any], count: int) -> None:
    held = list(run.get("missing") or [])
    kept = [position for position in held if paper.whole(position) < count]
    if len(kept) == len(held):
        return
    if len({paper.whole(position) for position in kept}) == count:
        raise NotDone(f"run '{run['name']}' would have no pixel left; make it longer")
    if kept:
        paper.put(("runs", number, "missing"), kept)
    else:
        paper.remove(("runs", number, "missing"))


def _mended_end(paper: Paper, text: str, run: str, count: int, long_m: float) -> str:
    name, point = split_end(text)
    if name != run or not point:
        return text
    if point.startswith("["):
        beyond = int(point.strip("[] ")) >= count
        return f"{run}[{count - 1}]" if beyond else text
    if point.startswith("@"):
        along = point[1:].strip()
        at_m = paper.metres(float(along) if _BARE.fullmatch(along) else along)
        return f"{run}.end" if at_m > long_m else text
    return text


def _mend_zone(
    paper: Paper, zone: str, parts: list[str], run: str, count: int, spares: int
) -> None:
    kept = []
    for part in parts:
        said = run_slice(part)
        first, last = said.first or 0, said.last
        if said.name != run or (last is None and first < count) or (last and last <= count):
            kept.append(part)
        elif first < count:
            kept.append(f"{run}[{'' if said.first is None else first}:{count}]")
            paper.notes.append(f"zone {zone} ends with run {run}: {part} is {kept[-1]} now")
        else:
            paper.notes.append(f"{part} is gone from zone {zone}")
    if not kept:
        raise NotDone(f"zone '{zone}' would have no pixels left; give it others or delete it first")
    if kept != parts:
        paper.put(("zones", zone), kept)
