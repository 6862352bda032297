"""What a document is made of: sections of paragraphs, tables and figures, which are numbered."""

from __future__ import annotations

from dataclasses import dataclass, replace

from markupsafe import Markup


@dataclass(frozen=True)
class Para:
    """A paragraph; `look` is "", "note" or "lead"."""

    text: str
    look: str = ""


@dataclass(frozen=True)
class Bullets:
    """A list of sentences; numbered where their order matters; `look` "" or "caution"."""

    items: tuple[str, ...]
    numbered: bool = False
    look: str = ""


@dataclass(frozen=True)
class Col:
    """A column; `fill`: empty, to be written in."""

    name: str
    right: bool = False
    fill: bool = False
    code: bool = False


@dataclass(frozen=True)
class Grid:
    """A table. The first cell of every row names it. `look` is "", "small" or "roomy";
    with "flows" even a short one may go on on the next page."""

    title: str
    columns: tuple[Col, ...]
    rows: tuple[tuple[str, ...], ...]
    look: str = ""
    note: str = ""
    number: int = 0


@dataclass(frozen=True)
class Figure:
    """A drawing or picture, already safe to stand in the page."""

    title: str
    drawn: Markup
    note: str = ""
    look: str = ""
    number: int = 0


@dataclass(frozen=True)
class Sub:
    """A heading inside a section."""

    text: str


@dataclass(frozen=True)
class Warned:
    """Findings in words: how urgent, and the sentence."""

    items: tuple[tuple[str, str, str], ...]  # level, where, sentence


Part = Para | Bullets | Grid | Figure | Sub | Warned


@dataclass(frozen=True)
class Chapter:
    """A section of the document; `new_page`: it begins one on paper."""

    key: str
    title: str
    parts: tuple[Part, ...]
    new_page: bool = False
    number: int = 0


def numbered(chapters: list[Chapter]) -> tuple[Chapter, ...]:
    """The chapters with every chapter, table and figure numbered in order."""
    tables = figures = 0
    made = []
    for number, chapter in enumerate(chapters, 1):
        parts: list[Part] = []
        for part in chapter.parts:
            if isinstance(part, Grid):
                tables += 1
                parts.append(replace(part, number=tables))
            elif isinstance(part, Figure):
                figures += 1
                parts.append(replace(part, number=figures))
            else:
                parts.append(part)
        made.append(replace(chapter, parts=tuple(parts), number=number))
    return tuple(made)


def cols(*names: str) -> tuple[Col, ...]:
    """Columns by name: `>` sets one right, `_` is to be written in, `|` is never broken."""
    return tuple(
        Col(name.lstrip(">_|"), name.startswith(">"), name.startswith("_"), name.startswith("|"))
        for name in names
    )
