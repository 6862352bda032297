"""A report in neutral blocks: what it says, before it is a terminal's or a page's.

`sim.report.terminal` and `sim.report.page` each render every block; a report knows neither.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from layouts.errors import harmless
from layouts.finding import Finding

if TYPE_CHECKING:
    from rich.console import RenderableType


@dataclass(frozen=True)
class Span:
    """Some words of one look: "", "strong", "quiet", "good", "warn", "bad", or a "#rrggbb"."""

    text: str
    look: str = ""

    def __post_init__(self) -> None:
        """Names may hold anything; what would command a terminal or turn writing is escaped.

        Line ends stay: they are those of our own words, since no name from a file has any.
        """
        if not self.text.isprintable():
            object.__setattr__(self, "text", "\n".join(map(harmless, self.text.split("\n"))))


Spans = tuple[Span, ...]


def spans(*parts: str | tuple[str, str]) -> Spans:
    """Words of several looks: plain text, and (text, look)."""
    return tuple(Span(part) if isinstance(part, str) else Span(*part) for part in parts)


@dataclass(frozen=True)
class Title:
    """What the report is of."""

    words: Spans


@dataclass(frozen=True)
class Words:
    """A paragraph."""

    words: Spans


def words(*parts: str | tuple[str, str]) -> Words:
    """A paragraph of words of several looks."""
    return Words(spans(*parts))


def note(text: str) -> Words:
    """A paragraph that stays in the background."""
    return words((text, "quiet"))


@dataclass(frozen=True)
class Gap:
    """Air between two blocks."""


@dataclass(frozen=True)
class Meter:
    """A load as a share of its rating; `full` is the share at which the bar ends."""

    share: float
    full: float


@dataclass(frozen=True)
class Length:
    """A bar as long as its share 0..1 of the longest, of which the first part is brighter."""

    share: float
    first: float


Cell = Spans | Meter | Length


@dataclass(frozen=True)
class Column:
    """A column of a table."""

    name: str
    right: bool = False  # set right
    whole: bool = False  # never broken into lines
    look: str = ""  # of all its cells
    when: Literal["always", "wide", "narrow"] = "always"  # narrow: where 100 cells have no room
    copied: bool = False  # names that are typed again: not broken at a hyphen even if room is short


@dataclass(frozen=True)
class Row:
    """One row of a table, a cell a column."""

    cells: tuple[Cell, ...]
    look: str = ""


@dataclass(frozen=True)
class Table:
    """Rows under named columns."""

    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    head: str = "quiet"  # look of the names


def columns(*names: str, **when: Literal["wide", "narrow"]) -> tuple[Column, ...]:
    """Columns by name; `>` sets one right, and it and `|` keep it whole, as far as there is room;
    `||` is of names to copy. `when` is by bare name."""
    made = []
    for name in names:
        bare, right = name.lstrip(">|"), name.startswith(">")
        whole = right or name.startswith("|")
        copied = name.startswith("||")
        made.append(Column(bare, right, whole, when=when.get(bare, "always"), copied=copied))
    return tuple(made)


def row(*cells: str | tuple[str, str] | Spans | Meter | Length, look: str = "") -> Row:
    """A row of plain words, (text, look), several spans, or bars."""
    return Row(tuple(_cell(each) for each in cells), look)


def _cell(cell: str | tuple[str, str] | Spans | Meter | Length) -> Cell:
    if isinstance(cell, str):
        return (Span(cell),)
    if isinstance(cell, tuple) and len(cell) == 2 and isinstance(cell[0], str):
        return (Span(*cell),)  # type: ignore[arg-type]
    return cell  # type: ignore[return-value]


@dataclass(frozen=True)
class Findings:
    """Findings, dangers first; "nothing found" where there are none."""

    findings: tuple[Finding, ...]


@dataclass(frozen=True)
class Cautions:
    """The cautions, small but always there."""

    texts: tuple[str, ...]


@dataclass(frozen=True)
class Listed:
    """A list of short paragraphs."""

    items: tuple[Spans, ...]


@dataclass(frozen=True)
class PictureBlock:
    """A PNG; `said` tells in words what it shows."""

    png: bytes
    said: str


@dataclass(frozen=True)
class Drawn:
    """What each renderer has a drawing of its own of: a calendar, say."""

    terminal: Callable[[int], RenderableType]  # of a width in cells
    html: str  # trusted: made by a template that escapes


@dataclass(frozen=True)
class Section:
    """Blocks under a heading, set in by a little; `inset` False: not."""

    heading: str
    blocks: tuple[Block, ...]
    inset: bool = True


Block = Title | Words | Gap | Table | Findings | Cautions | Listed | PictureBlock | Drawn | Section
Blocks = Iterable[Block]


def section(heading: str, *blocks: Block, inset: bool = True) -> Section:
    """Blocks under a heading."""
    return Section(heading, blocks, inset)
