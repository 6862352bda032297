"""A house document being changed: plain data, and the edits of its text that lead there."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from layouts.errors import EvenfallError
from layouts.files.edits import Append, Edit, Put, Rekey, Remove, Reorder
from layouts.files.names import ALL, checked_name, did_you_mean
from layouts.files.written import Path
from layouts.points import split_end
from layouts.units import METRES
from sim.app.edit.commands import Item
from sim.app.edit.lengths import metres, written

#: Where the things of each sort stand. Zones are a mapping; the drawing is one alone.
SECTIONS: dict[str, Path] = {
    "run": ("runs",),
    "surface": ("drawing", "surfaces"),
    "place": ("places",),
    "route": ("routes",),
    "supply": ("supplies",),
    "wire": ("wires",),
    "output": ("outputs",),
    "zone": ("zones",),
    "drawing": ("drawing",),
}
_RIVALS = {
    "run": ("run", "supply", "zone"),
    "supply": ("supply", "run"),
    "zone": ("zone", "run"),
}
#: The key that holds the points of a thing.
POINTS = {"run": "path", "route": "path", "surface": "outline"}


class NotDone(EvenfallError):
    """A command that cannot be done, in words for the user: what, and what to do."""


class Paper:
    """The data as commands have changed it so far; what is not touched is shared, not copied."""

    def __init__(self, data: Mapping[str, Any]):
        self.data: Any = data
        self.edits: list[Edit] = []
        self.notes: list[str] = []
        units = data.get("units", "m")
        self.units = units if isinstance(units, str) and units in METRES else "m"

    def put(self, path: Path, value: Any) -> None:
        """This value at `path`; nothing happens where it is there already."""
        if path_in(self.data, path) == value:
            return
        self.data = _changed(self.data, path, lambda _: value)
        self.edits.append(Put(path, value))

    def append(self, path: Path, value: Any) -> None:
        """One more entry at the end of the list at `path`."""
        self.data = _changed(self.data, path, lambda held: [*(held or []), value])
        self.edits.append(Append(path, value))

    def remove(self, path: Path) -> None:
        """Nothing at `path` any more."""
        *above, last = path
        self.data = _changed(self.data, tuple(above), lambda held: _without(held, last))
        self.edits.append(Remove(path))

    def reorder(self, path: Path, to: int) -> None:
        """The entry at `path` as number `to` of its list."""
        *above, last = path
        self.data = _changed(self.data, tuple(above), lambda held: _reordered(held, last, to))
        self.edits.append(Reorder(path, to))

    def rekey(self, path: Path, key: str) -> None:
        """Another key for what stands at `path`."""
        *above, last = path
        self.data = _changed(self.data, tuple(above), lambda held: _rekeyed(held, last, key))
        self.edits.append(Rekey(path, key))

    def at(self, path: Path) -> Any:
        """What stands at `path`, None where nothing does."""
        return path_in(self.data, path)

    def entries(self, sort: str) -> Any:
        """The list (of zones and the drawing: the mapping) of a sort."""
        empty: Any = {} if sort in ("zone", "drawing") else []
        return self.at(SECTIONS[sort]) or empty

    def names(self, sort: str) -> list[str]:
        """The names of all things of a sort."""
        entries = self.entries(sort)
        return list(entries) if sort == "zone" else [each.get("name") for each in entries]

    def where(self, item: Item) -> Path:
        """The path of a thing. Raises NotDone where there is none of that name."""
        section = SECTIONS[item.sort]
        if item.sort == "drawing":
            return section
        if item.sort == "wire":
            number = item.name
            if isinstance(number, int) and 0 <= number < len(self.entries("wire")):
                return (*section, number)
            raise NotDone(f"there is no {item}; look at the wires again")
        names = self.names(item.sort)
        if item.name not in names:
            hint = did_you_mean(str(item.name), names)
            raise NotDone(f"there is no {item.sort} '{item.name}'; {hint}")
        return (*section, item.name if item.sort == "zone" else names.index(str(item.name)))

    def entry(self, item: Item) -> Any:
        """What is written of a thing."""
        return self.at(self.where(item))

    def metres(self, value: Any) -> float:
        """The length [m] of something written in the document."""
        try:
            return metres(value, self.data)
        except ValueError as error:
            raise NotDone(str(error)) from None

    def points(self, item: Item) -> list[tuple[float, float]]:
        """The points [m] of a run, route or surface."""
        if item.sort not in POINTS:
            raise NotDone(f"{item} has no corners; choose a run, a route or a surface")
        held = self.entry(item)[POINTS[item.sort]]
        return [(self.metres(x), self.metres(y)) for x, y in held]

    def point(self, xy_m: tuple[float, float], old: Any = None) -> list[Any]:
        """A point as the file writes it; a coordinate that stays is written as in `old`."""
        x, y = old if isinstance(old, list) and len(old) == 2 else (None, None)
        return [self.length(xy_m[0], x), self.length(xy_m[1], y)]

    def length(self, value_m: float, old: Any = None) -> Any:
        """A length as the file writes it, in the manner of `old`, which is kept where it holds."""
        return written(float(value_m), self.data, old)

    def free_name(self, sort: str, name: str, but: str | None = None) -> str:
        """`name`, where a thing of that sort may have it. Raises NotDone where it may not."""
        if sort == "surface":
            if not name.strip():
                raise NotDone("a surface needs a name; write one")
        else:
            try:
                checked_name(name)
            except ValueError as error:
                raise NotDone(str(error)) from None
        for other in rivals(sort):
            if name in self.names(other) and not (other == sort and name == but):
                raise NotDone(f"'{name}' is already the name of a {other}; choose another")
        if sort in ("run", "zone") and name == ALL:
            raise NotDone(f"'{ALL}' is every pixel; choose another name")
        if sort in ("run", "supply") and name in self.junctions():
            raise NotDone(f"'{name}' is a junction of wires; choose another name")
        return name

    def new_name(self, sort: str, wanted: str) -> str:
        """`wanted`, or the same with the next number that is free."""
        taken = {name for other in rivals(sort) for name in self.names(other)} | {ALL}
        taken |= self.junctions() if sort in ("run", "supply") else set()
        if wanted not in taken:
            return wanted
        stem, dash, last = wanted.rpartition("-")
        stem, number = (stem, int(last)) if dash and last.isdecimal() else (wanted, 1)
        while f"{stem}-{number}" in taken or number == 1:
            number += 1
        return f"{stem}-{number}"

    def junctions(self) -> set[str]:
        """The names of the joints of wires."""
        named = {*self.names("run"), *self.names("supply")}
        ends = [split_end(str(wire.get(key, ""))) for wire in self.entries("wire")
                for key in ("from", "to")]  # fmt: skip
        return {name for name, point in ends if point is None and name not in named}


def rivals(sort: str) -> tuple[str, ...]:
    """The sorts that share their names: wires name runs and supplies, layers runs and zones."""
    return _RIVALS.get(sort, (sort,))


def path_in(data: Any, path: Path) -> Any:
    """What stands at `path` in plain data, None where nothing does."""
    for step in path:
        if isinstance(data, Mapping):
            data = data.get(step)
        elif isinstance(data, list) and isinstance(step, int) and 0 <= step < len(data):
            data = data[step]
        else:
            return None
    return data


def _changed(data: Any, path: Path, change: Callable[[Any], Any]) -> Any:
    if not path:
        return change(data)
    step, *rest = path
    if isinstance(data, list):
        made = list(data)
        made[step] = _changed(data[step], tuple(rest), change)  # type: ignore[index]
        return made
    held = data or {}
    return {**held, step: _changed(held.get(step), tuple(rest), change)}


def _without(held: Any, step: Any) -> Any:
    if isinstance(held, list):
        return held[:step] + held[step + 1 :]
    return {key: value for key, value in held.items() if key != step}


def _reordered(held: list[Any], number: Any, to: int) -> list[Any]:
    rest = held[:number] + held[number + 1 :]
    return [*rest[:to], held[number], *rest[to:]]


def _rekeyed(held: Mapping[str, Any], old: Any, key: str) -> dict[str, Any]:
    return {key if each == old else each: value for each, value in held.items()}
