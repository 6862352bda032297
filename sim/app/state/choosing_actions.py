"""What can happen on a page of choosing."""

from __future__ import annotations

from dataclasses import dataclass

from sim.app.state.choosing_record import Page


@dataclass(frozen=True)
class OpenPage:
    """Open a page, about a layer; the page that is open already is closed instead."""

    page: Page
    layer: int | None = None


@dataclass(frozen=True)
class ClosePage:
    """Back to the page before, or to the house."""


@dataclass(frozen=True)
class PointAtPart:
    """The pointer, or the keys, are at a part of the page; None: at none. It is tried."""

    part: str | None
    by_keys: bool = False


@dataclass(frozen=True)
class PressPart:
    """Take the part that is pointed at, or another one."""

    part: str | None = None


@dataclass(frozen=True)
class StepParts:
    """To a neighbouring part of the page; sideways in a row, that has a value, its next value."""

    across: int = 0
    down: int = 0


@dataclass(frozen=True)
class TypeOnPage:
    """Letters to look for; "" takes the last one away."""

    text: str


@dataclass(frozen=True)
class ScrollPage:
    """Move the page [px at 100 %]."""

    by: float


ChoosingAction = (
    OpenPage | ClosePage | PointAtPart | PressPart | StepParts | TypeOnPage | ScrollPage
)
