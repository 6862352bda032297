"""Single keys of things, and which surface is painted before which."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sim.app.edit.adding import spot
from sim.app.edit.commands import Restack, SetKey
from sim.app.edit.follow import mend
from sim.app.edit.paper import POINTS, SECTIONS, NotDone, Paper
from sim.app.edit.shaping import set_points

#: The keys of each sort that can be set.
KEYS: dict[str, tuple[str, ...]] = {
    "run": (
        "pixels", "path", "count", "aim", "standoff", "profile", "spare_first", "set_ma", "cuts",
        "lens",
    ),
    "surface": ("material", "depth", "outline", "lit", "faces"),
    "place": ("at", "mains", "sheltered"),
    "route": ("path",),
    "supply": ("volts", "amps", "efficiency", "no_load_w", "source_ohm", "at"),
    "wire": ("from", "to", "wire", "length", "fuse"),
    "output": (
        "chain", "universe", "address", "fps", "at", "lead", "logic_v", "series_ohm",
        "common_minus",
    ),
    "zone": ("parts",),
    "drawing": ("viewer", "size", "ground", "lit_windows", "bounces"),
}  # fmt: skip
#: Those that are lengths.
LENGTHS = frozenset({"standoff", "depth", "length", "viewer"})


def set_key(paper: Paper, command: SetKey) -> None:
    item, key, value = command.item, command.key, command.value
    path = paper.where(item)
    if key not in KEYS[item.sort]:
        there = ", ".join(KEYS[item.sort])
        raise NotDone(f"'{key}' of {item} cannot be set; these can: {there}")
    if item.sort == "zone":
        paper.put(path, list(value or ()))
        return
    before = paper.entry(item)
    if value is None:
        if key in before:
            paper.remove((*path, key))
    elif key == POINTS.get(item.sort):
        held = before[key]
        old = [held[n] if n < len(held) else None for n in range(len(value))]
        set_points(paper, item, [(float(x), float(y)) for x, y in value], old)
        return
    else:
        paper.put((*path, key), _value(paper, key, value, before.get(key)))
    if item.sort == "run" and key == "pixels" and "set_ma" in before:
        paper.remove((*path, "set_ma"))  # another kind has steps of its own, or none
    if item.sort == "run" and key in ("pixels", "count", "spare_first"):
        mend(paper, int(path[-1]), before)


def _value(paper: Paper, key: str, value: Any, old: Any) -> Any:
    """A value as the file writes it, in the place of `old`."""
    if key in LENGTHS:
        return paper.length(value, old)
    if key == "at":
        return spot(paper, value) if isinstance(value, str) else paper.point(value, old)
    if key == "size":
        return paper.point(value, old)
    if isinstance(value, Mapping):  # the lead of an output
        held = old if isinstance(old, Mapping) else {}
        return {**value, "length": paper.length(value["length"], held.get("length"))}
    if isinstance(value, tuple | list):
        return list(value)
    if isinstance(value, float) and value == int(value):
        return int(value)
    return value


def restack(paper: Paper, command: Restack) -> None:
    names = paper.names("surface")
    if command.surface not in names:
        raise NotDone(f"there is no surface '{command.surface}'; choose one that is drawn")
    place = names.index(command.surface)
    to = min(max(place + command.places, 0), len(names) - 1)
    if to == place:
        return
    paper.reorder((*SECTIONS["surface"], place), to)
