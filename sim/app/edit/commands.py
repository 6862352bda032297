"""The commands of drawing: what is to be done to a house document, as frozen records.

Lengths and places are in metres, whatever the file's units. `label` says in plain words what a
command does, as a list of steps shows it. How each is done stands in `doing` and its neighbours;
`draft.made` makes the new draft.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

#: What can be pointed at in a house document.
Sort = Literal["run", "surface", "place", "route", "supply", "wire", "output", "zone", "drawing"]
#: A point [m] of the drawn house.
PointM = tuple[float, float]
#: Where a supply or controller is: the name of a place, or a point [m].
SpotM = str | PointM


@dataclass(frozen=True, order=True)
class Item:
    """One thing of a house: its sort and its name. Wires have no names: their number, from 0."""

    sort: Sort
    name: str | int = ""

    def __str__(self) -> str:
        if self.sort == "wire":
            return f"wire {int(self.name) + 1}"
        return f"{self.sort} {self.name}".strip()


def _all(items: tuple[Item, ...]) -> str:
    if len(items) == 1:
        return str(items[0])
    same = {item.sort for item in items}
    plural = {"supply": "supplies"}
    sort = same.pop() if len(same) == 1 else ""
    return f"{len(items)} {plural.get(sort, sort + 's') if sort else 'things'}"


@dataclass(frozen=True)
class AddRun:
    """A new run; without `count` its path is filled at the pitch of its kind."""

    name: str
    path_m: tuple[PointM, ...]
    kind: str
    aim: str | float | None = None  # None: as a file has it that says nothing
    standoff_m: float | None = None
    profile: str | None = None
    count: int | None = None
    spare_first: int | None = None

    @property
    def label(self) -> str:
        return f"add run {self.name}"


@dataclass(frozen=True)
class AddSurface:
    """A new surface, painted right after `over` (None: last, in front of all).

    Without a material it is a part of the photograph at its depth.
    """

    name: str
    outline_m: tuple[PointM, ...]
    material: str | None
    depth_m: float | None = None
    over: str | None = None

    @property
    def label(self) -> str:
        return f"add surface {self.name}"


@dataclass(frozen=True)
class AddPlace:
    """A new spot where a supply or a controller can be mounted."""

    name: str
    at_m: PointM
    mains: bool = False
    sheltered: bool = False

    @property
    def label(self) -> str:
        return f"add place {self.name}"


@dataclass(frozen=True)
class AddRoute:
    """A new line along which cable may be laid."""

    name: str
    path_m: tuple[PointM, ...]

    @property
    def label(self) -> str:
        return f"add route {self.name}"


@dataclass(frozen=True)
class AddSupply:
    """A new supply."""

    name: str
    volts: float
    amps: float
    at: SpotM | None = None

    @property
    def label(self) -> str:
        return f"add supply {self.name}"


@dataclass(frozen=True)
class AddWire:
    """A new pair of conductors; its ends as a file writes them: `loft`, `gable[70]`, `eave.end`."""

    start: str
    end: str
    wire: str
    length_m: float
    fuse_a: float | None = None

    @property
    def label(self) -> str:
        return f"add wire {self.start} → {self.end}"


@dataclass(frozen=True)
class AddOutput:
    """A new data port with the runs on it, in data order."""

    name: str
    chain: tuple[str, ...]
    universe: int | None = None
    fps: float | None = None
    at: SpotM | None = None

    @property
    def label(self) -> str:
        return f"add output {self.name}"


@dataclass(frozen=True)
class AddZone:
    """A new zone of runs and parts of runs: `eave`, `gable[0:40]`."""

    name: str
    parts: tuple[str, ...]

    @property
    def label(self) -> str:
        return f"add zone {self.name}"


@dataclass(frozen=True)
class AddCut:
    """+ of a run interrupted before this position."""

    run: str
    before: int

    @property
    def label(self) -> str:
        return f"cut run {self.run} before pixel {self.before}"


@dataclass(frozen=True)
class RemoveCut:
    """+ of a run whole again before this position."""

    run: str
    before: int

    @property
    def label(self) -> str:
        return f"mend run {self.run} before pixel {self.before}"


@dataclass(frozen=True)
class MoveCut:
    """A cut of a run moved to another position."""

    run: str
    before: int
    to: int

    @property
    def label(self) -> str:
        return f"move the cut of run {self.run} to before pixel {self.to}"


@dataclass(frozen=True)
class MovePoint:
    """One point of a run, route or surface moved: a corner, or an end."""

    item: Item
    index: int
    to_m: PointM

    @property
    def label(self) -> str:
        return f"reshape {self.item}"


@dataclass(frozen=True)
class InsertPoint:
    """A new point before `index`; for an outline, one past the last closes it."""

    item: Item
    index: int
    at_m: PointM

    @property
    def label(self) -> str:
        return f"add a corner to {self.item}"


@dataclass(frozen=True)
class RemovePoint:
    """A point of a run, route or surface taken out."""

    item: Item
    index: int

    @property
    def label(self) -> str:
        return f"take a corner out of {self.item}"


@dataclass(frozen=True)
class ShiftBy:
    """Things moved by a dimension; what is mounted at a named place moves with its place only."""

    items: tuple[Item, ...]
    dx_m: float
    dy_m: float

    @property
    def label(self) -> str:
        return f"move {_all(self.items)}"


@dataclass(frozen=True)
class MirrorAbout:
    """Things mirrored about the vertical line at `x_m`: themselves, or a copy beside them."""

    items: tuple[Item, ...]
    x_m: float
    copy: bool = True

    @property
    def label(self) -> str:
        return f"mirror {_all(self.items)}"


@dataclass(frozen=True)
class RepeatBy:
    """`copies` copies of things, each a step further than the one before."""

    items: tuple[Item, ...]
    copies: int
    dx_m: float
    dy_m: float = 0.0

    @property
    def label(self) -> str:
        return f"repeat {_all(self.items)}"


@dataclass(frozen=True)
class Rename:
    """Another name; wires' ends, chains, zones and mountings that say the old one follow."""

    item: Item
    to: str

    @property
    def label(self) -> str:
        return f"rename {self.item} to {self.to}"


@dataclass(frozen=True)
class Delete:
    """Things removed. What would vanish with them (wires, outputs, zones) only if `along`."""

    items: tuple[Item, ...]
    along: bool = False

    @property
    def label(self) -> str:
        return f"delete {_all(self.items)}"


@dataclass(frozen=True)
class SetKey:
    """One key of a thing, as the file calls it; lengths in metres, None takes the key away.

    Runs: pixels, aim, standoff, profile, count, spare_first, set_ma. Surfaces: material, depth.
    Wires: from, to, wire, length, fuse. Supplies: volts, amps, efficiency, no_load_w, source_ohm,
    at. Outputs: chain, universe, address, fps, at, logic_v, series_ohm, common_minus. Places: at,
    mains, sheltered. Zones: parts. The drawing: viewer. `to` another spot or run end moves a feed.
    """

    item: Item
    key: str
    value: Any

    @property
    def label(self) -> str:
        return f"set {self.key.replace('_', ' ')} of {self.item}"


@dataclass(frozen=True)
class Restack:
    """A surface painted so many places later (nearer the front), or earlier where negative."""

    surface: str
    places: int

    @property
    def label(self) -> str:
        way = "forward" if self.places > 0 else "back"
        return f"bring surface {self.surface} {way}"


@dataclass(frozen=True)
class Several:
    """Commands one after the other, all or none."""

    commands: tuple[Command, ...]
    label: str


Command = (
    AddRun | AddSurface | AddPlace | AddRoute | AddSupply | AddWire | AddOutput | AddZone | AddCut
    | RemoveCut | MoveCut | MovePoint | InsertPoint | RemovePoint | ShiftBy | MirrorAbout
    | RepeatBy | Rename | Delete | SetKey | Restack | Several
)  # fmt: skip
