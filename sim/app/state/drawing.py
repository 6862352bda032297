"""The drawing board: what drawing needs to know beyond the draft itself. Frozen, like the state."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from layouts import House
from sim.app.edit.commands import Item, PointM
from sim.app.edit.draft import Draft
from sim.app.edit.photo_sight import PhotoSight

Tool = Literal["select", "run", "surface", "place", "supply", "feed", "cut", "output", "zone",
               "ruler"]  # fmt: skip
#: The tools in the order of the panel: what each is called, its key, and what it does.
TOOLS: dict[Tool, tuple[str, str, str]] = {
    "select": ("Select", "s", "Click a thing to choose it; drag it, or a corner of it."),
    "run": ("Run", "r", "Click the corners in data order. Enter or a double click ends it."),
    "surface": ("Surface", "a", "Click the corners around it. Enter or the first corner ends it."),
    "place": ("Place", "p", "Click where a supply or a controller can be mounted."),
    "supply": ("Supply", "b", "Click where the box hangs; on a place it is mounted there."),
    "feed": ("Feed", "f", "Click the run where the wire from the supply meets it."),
    "cut": ("Cut", "c", "Click the run where + is interrupted between two pixels."),
    "output": ("Output", "o", "Click runs in data order; Enter makes a data port of them."),
    "zone": ("Zone", "z", "Click the runs that belong to it; Enter makes the zone."),
    "ruler": ("Ruler", "m", "Click two points: length, rise, angle and pitch between them."),
}
#: Tools whose clicks make a line of corners, and those that gather runs.
LINES: frozenset[Tool] = frozenset(("run", "surface", "ruler"))
GATHERS: frozenset[Tool] = frozenset(("output", "zone"))
#: What the cross can be caught by, in the order of the panel, with the words for it.
CATCHES: dict[str, str] = {
    "ends": "ends of runs",
    "corners": "corners",
    "middles": "middles",
    "levels": "level and plumb lines",
    "angles": "right angles",
    "pitches": "roof pitches",
    "edges": "edges of things",
    "grid": "the grid",
    "photo": "edges in the photo",
}
#: How far the view can be enlarged.
MOST_ZOOM = 8.0


@dataclass(frozen=True, order=True)
class Pick:
    """A thing of the house, or a part of it: one corner, one end of a wire, one cut of a run."""

    item: Item
    corner: int | None = None  # of a path or outline; of a wire 0 or 1, its ends
    cut: int | None = None  # of a run: the position that it stands before

    @property
    def whole(self) -> bool:
        """Whether all of the thing is meant."""
        return self.corner is None and self.cut is None


@dataclass(frozen=True)
class Grab:
    """Something held: it goes where the cross goes, until it is dropped."""

    pick: Pick
    from_m: PointM  # the point of it that is put somewhere: a corner, an end, its spot
    off_m: PointM = (0.0, 0.0)  # from where the pointer took it to that point
    by_keys: bool = False
    moved: bool = False


@dataclass(frozen=True)
class Catch:
    """What holds the cross: a word for it, and lines that show why [m]."""

    why: str
    lines: tuple[tuple[PointM, PointM], ...] = ()


@dataclass(frozen=True)
class Board:
    """All of the drawing mode. `house` is what `draft` says."""

    draft: Draft
    house: House
    base: Draft | None = None  # as the file was first read
    sight: PhotoSight | None = None  # the photograph, for its edges
    tool: Tool = "select"
    picks: tuple[Pick, ...] = ()
    hover: Pick | None = None
    free_m: PointM = (0.0, 0.0)  # where the pointer is
    cross_m: PointM = (0.0, 0.0)  # where that is taken to be
    catch: Catch | None = None
    line: tuple[PointM, ...] = ()  # corners so far
    members: tuple[str, ...] = ()  # runs gathered so far
    grab: Grab | None = None
    typed: str = ""
    field: str | None = None  # row of the panel that has the keys
    listed: bool = False  # its list is open
    caught_by: frozenset[str] = frozenset(CATCHES) - {"grid"}
    grid: bool = True
    daylight: bool = True
    plain_light: bool = True  # every run in one warm white, not the scheme
    zoom: float = 1.0
    centre: tuple[float, float] = (0.5, 0.5)  # of the picture, while it is enlarged
    fault: str = ""  # why the last wish was not done
    fault_m: PointM | None = None  # and where

    @property
    def pick(self) -> Pick | None:
        """What was chosen last."""
        return self.picks[-1] if self.picks else None


def rested(board: Board) -> Board:
    """The board with nothing begun: no line, nothing held, nothing typed."""
    return replace(board, line=(), members=(), grab=None, typed="", listed=False, fault="",
                   fault_m=None, catch=None)  # fmt: skip
