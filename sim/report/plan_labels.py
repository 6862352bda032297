"""The words on the picture of a plan: feeds and boxes, over the house or in a table beside it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING

from layouts.ratings import amps_rated
from sim.report.lengths import laid_text
from sim.report.plan_facts import Cable, Hung, PlanFacts
from sim.report.plan_marks import disc
from sim.report.text import percent
from sim.report.theme import GROUND, QUIET, WARM, text_width, typeface

if TYPE_CHECKING:
    from PIL.Image import Image

#: Sizes of type in labels at a picture 1280 pixels wide, the first that has room for all: 16 is
#: still 11 px high where the picture is shown 900 wide.
TYPES = (16.0, 14.0)
#: Room around the words of a label, at a picture 1280 pixels wide; a line and the room for the
#: number of a supply, in sizes of its type.
PAD, STEP, DISC = 4.0, 1.22, 1.3
#: Type of the table: as large as its lines allow, and no smaller.
_LARGEST, _SMALLEST = 16.0, 7.0


@dataclass(frozen=True)
class Label:
    """Lines of words for one thing, its first line bold; `supply` gives the colour of its rim."""

    at_m: tuple[float, float]
    lines: tuple[str, ...]
    supply: int
    size: tuple[float, float]  # [px]
    type_px: float


def labels_of(
    facts: PlanFacts, unit: float, size: float = TYPES[0], far: bool = True
) -> list[Label]:
    """A label for every box and every feed in full, or without the length: `far`."""
    return _boxes(facts, unit, size) + [
        _label(end_of(each), cable_lines(facts, each, far), each.supply, unit, size)
        for each in told(facts)
    ]


def short_labels(facts: PlanFacts, unit: float, size: float = TYPES[0]) -> list[Label]:
    """Boxes in full, and the number of every feed in the table."""
    return _boxes(facts, unit, size) + [
        _label(end_of(each), (str(number),), each.supply, unit, size)
        for number, each in enumerate(told(facts), 1)
    ]


def wordings(facts: PlanFacts, unit: float) -> Iterator[list[Label]]:
    """Labels in every way to say them, best first: the length goes first, what it is never."""
    for size in TYPES:
        for far in (True, False):
            yield labels_of(facts, unit, size, far)


def _boxes(facts: PlanFacts, unit: float, size: float) -> list[Label]:
    return [
        _label(each.at_m, _box_lines(each), n, unit, size) for n, each in enumerate(facts.boxes)
    ]


def told(facts: PlanFacts) -> list[Cable]:
    """The cables that have words of their own, in the order of the file."""
    return list(facts.cables)


def end_of(cable: Cable) -> tuple[float, float]:
    """Where a cable ends, which its label names."""
    x, y = cable.way_m[-1].tolist()
    return x, y


def cable_lines(facts: PlanFacts, cable: Cable, far: bool = True) -> tuple[str, str]:
    """Amps at the peak and what the cable is, with its length or without: two lines."""
    wire = cable.wire
    fuse = "no fuse of its own" if wire.fuse_a is None else f"fuse {wire.fuse_a:g} A"
    long = f"{laid_text(wire.length_m, facts.house.units)}, " if far else ""
    name = "bus" if not cable.feeds else wire.end.text or wire.end.name
    if wire.start.kind == wire.end.kind == "run":
        name = "joins two runs"
    return (f"{name}  {cable.peak_a:.1f} A", f"{wire.size.name}, {long}{fuse}")


def _box_lines(hung: Hung) -> tuple[str, str]:
    return (
        hung.name,
        f"{hung.volts:g} V, {hung.peak_a:.1f} of {amps_rated(hung.rated_a)} A "
        f"({percent(hung.peak_a / hung.rated_a)})",
    )


def _label(
    at_m: tuple[float, float], lines: tuple[str, ...], supply: int, unit: float, size: float
) -> Label:
    type_px = size * unit
    bold, plain = typeface(type_px, bold=True), typeface(type_px)
    wide = max(text_width(text, plain if n else bold) for n, text in enumerate(lines))
    disc_px = 0 if len(lines) == 1 else DISC * type_px
    width = max(wide, text_width(lines[0], bold) + disc_px) + 2 * PAD * unit
    return Label(at_m, lines, supply, (width, len(lines) * STEP * type_px + PAD * unit), type_px)


@dataclass(frozen=True)
class FeedTable:
    """What every feed is, in lines beside the house."""

    facts: PlanFacts
    rows: tuple[tuple[str, ...], ...]
    supplies: tuple[int, ...]
    columns: tuple[float, ...]  # [px] where each begins
    width: int
    height: int
    type_px: float

    def draw(self, sheet: Image, at: tuple[int, int]) -> None:
        """Onto a sheet, its upper left corner at `at`."""
        from PIL import ImageDraw

        draw = ImageDraw.Draw(sheet)
        draw.rectangle((at[0], at[1], at[0] + self.width, at[1] + self.height), GROUND)
        plain, bold = typeface(self.type_px), typeface(self.type_px, bold=True)
        step = self.height / max(len(self.rows), 1)
        step = min(step, self.type_px * 1.5)
        for number, row in enumerate(self.rows):
            y = at[1] + number * step
            for cell, x in zip(row, self.columns, strict=True):
                font = bold if not number or x == self.columns[0] else plain
                draw.text((at[0] + x, y), cell, WARM if number else QUIET, font)
            if number:
                supply = self.supplies[number - 1]
                middle = (at[0] + self.type_px * 0.7, y + self.type_px * 0.75)
                disc(draw, middle, self.type_px * 0.55, supply, self.type_px * 0.8)


def feed_table(facts: PlanFacts, unit: float, height: int) -> FeedTable:
    """The table for a house drawn `height` [px] high."""
    cables = told(facts)
    rows = [("", "to", "peak", "wire", "length", "fuse")]
    for number, each in enumerate(cables, 1):
        wire = each.wire
        fuse = "-" if wire.fuse_a is None else f"{wire.fuse_a:g} A"
        rows.append((
            str(number), wire.end.text or wire.end.name, f"{each.peak_a:.1f} A", wire.size.name,
            laid_text(wire.length_m, facts.house.units), fuse,
        ))  # fmt: skip
    size = min(max(height / len(rows) / 1.35, _SMALLEST * unit), _LARGEST * unit)
    font = typeface(size, bold=True)
    columns, x = [], size * 1.7
    for column in range(len(rows[0])):
        columns.append(x)
        x += max(text_width(row[column], font) for row in rows) + size
    return FeedTable(
        facts, tuple(rows), tuple(each.supply for each in cables), tuple(columns),
        round(x), height, size,
    )  # fmt: skip
