"""What a person has broken for a trial, and the sheet beside the house on which that is done."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from layouts import House
from layouts.faults import Fault

#: What the sheet is about: what can be broken, what is broken, what was seen.
SheetPage = Literal["break", "broken", "seen"]
#: Values that are typed on it: ohms of a joint and of a short, volts of a supply, a reading.
TypedValue = Literal["joint", "short", "sag", "volts", "watts"]


@dataclass(frozen=True)
class SheetTyping:
    """A value that is being typed, and why it cannot be taken."""

    what: TypedValue
    text: str = ""
    wrong: str = ""


@dataclass(frozen=True)
class MendingTrial:
    """The trial: nothing of it is ever in the house file."""

    house: House | None = None  # on show
    faults: tuple[Fault, ...] = ()
    page: SheetPage | None = None
    alone: bool = False  # the drawer was shut before, and is again when the sheet is left
    at: int | None = None  # which of what can be pressed has the keys
    scroll: float = 0.0  # [px at 100 %]
    typing: SheetTyping | None = None
    joint_ohm: float = 0.5
    short_ohm: float = 0.02
    sag_share: float = 0.8  # of a supply's volts


# --- what can happen to it ---


@dataclass(frozen=True)
class HouseThere:
    """Another house is on show."""

    house: House


@dataclass(frozen=True)
class OpenSheet:
    """Open a page of the sheet; the page that is open is closed instead."""

    page: SheetPage


@dataclass(frozen=True)
class CloseSheet:
    """Back to the house."""


@dataclass(frozen=True)
class BreakIt:
    """Break something; what is broken so already is mended."""

    fault: Fault


@dataclass(frozen=True)
class MendIt:
    """Mend one thing."""

    fault: Fault


@dataclass(frozen=True)
class MendAll:
    """Mend everything."""


@dataclass(frozen=True)
class MoveOnSheet:
    """Give the keys to the next or previous thing that can be pressed."""

    by: int


@dataclass(frozen=True)
class ScrollSheet:
    """Move the sheet [px at 100 %]; `limit` is how far it can go."""

    by: float
    limit: float = 1e6


@dataclass(frozen=True)
class BeginTyped:
    """Type a value."""

    what: TypedValue


@dataclass(frozen=True)
class TypeOnSheet:
    """Letters more; "" takes the last one away."""

    text: str


@dataclass(frozen=True)
class TakeTyped:
    """Take what is typed."""


@dataclass(frozen=True)
class LeaveTyped:
    """Leave the value as it was."""


# --- what only the loop can do ---


@dataclass(frozen=True)
class SaveFaults:
    """Write what is broken to a new faults file beside the house."""


MendingAction = (
    HouseThere | OpenSheet | CloseSheet | BreakIt | MendIt | MendAll | MoveOnSheet | ScrollSheet
    | BeginTyped | TypeOnSheet | TakeTyped | LeaveTyped | SaveFaults
)  # fmt: skip
