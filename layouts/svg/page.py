"""The records of a drawing that was read: its shapes, its texts, and what is left out.

Coordinates are those of the page: x to the right, y down, from its upper left corner.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from layouts.svg.style import Rgb

if TYPE_CHECKING:
    from svgelements import Path


@dataclass(frozen=True)
class Shape:
    """One painted shape. `fill` is None where it has none, `labels` its names, the best first.

    Before its own names stand those of what uses it, behind them those of its groups, then its
    classes.
    """

    at: tuple[int, int]
    tag: str
    labels: tuple[str, ...]
    path: Path
    fill: Rgb | None
    filled: bool  # also by a pattern, which has no colour
    stroked: bool
    rule: str  # nonzero or evenodd
    group: int  # which group it stands in
    note: str = ""
    depth: str = ""  # how far it stands before the wall, as `data-depth` says
    own: tuple[str, ...] = ()  # those of `labels` that are not of a group or class


@dataclass(frozen=True)
class Text:
    """A line of text and where it begins."""

    at: tuple[int, int]
    text: str
    xy: tuple[float, float]
    group: int


@dataclass(frozen=True)
class LeftOut:
    """An element that became nothing, and why."""

    at: tuple[int, int]
    tag: str
    label: str
    why: str


@dataclass
class Page:
    """All that is drawn, in painting order; `size` is the width and height of the page."""

    file: str
    size: tuple[float, float] | None
    shapes: list[Shape] = field(default_factory=list)
    texts: list[Text] = field(default_factory=list)
    left_out: list[LeftOut] = field(default_factory=list)


def box_of(shape: Shape) -> tuple[float, float, float, float]:
    """Left, upper, right and lower edge of a shape [px]."""
    found: Iterable[float] = shape.path.bbox()
    x0, y0, x1, y1 = (float(each) for each in found)
    return x0, y0, x1, y1
