"""The planned year in blocks: months in the schemes' colours, entries, energy."""

from __future__ import annotations

import calendar
from collections.abc import Iterator, Mapping
from functools import partial
from string import ascii_letters

from rich import table as rich_table
from rich.console import Group, RenderableType
from rich.text import Text

from effects.colour_spaces import LUMINANCE
from effects.colours import linear_rgb
from sim.report.blocks import (
    Block,
    Cautions,
    Drawn,
    Findings,
    Gap,
    Length,
    Span,
    Table,
    Title,
    columns,
    note,
    row,
    section,
    spans,
    words,
)
from sim.report.season_data import SWITCHING, WATCHED, entries, scheme_name
from sim.report.season_swatch import swatch
from sim.season.bill import Bill, Share
from sim.season.days import first_weekday, weekday_names
from sim.season.plan import YearPlan
from sim.season.records import Evening

_MONTH_WIDTH = 21  # seven days of two digits and a mark
_GAP = 4
_QUIET = "bright_black"
#: Behind the days of entries for which no letter is left, and of evenings that stay dark.
_MORE, _DARK = "+", "-"

Colours = Mapping[str, tuple[str, ...]]
#: What stands behind the days of an entry, by why it is and its scheme ("" for dark evenings).
Marks = Mapping[tuple[str, str], str]


def season_blocks(
    house_name: str, plan: YearPlan, bill: Bill, cautions: tuple[str, ...]
) -> Iterator[Block]:
    """The report of a season, part by part."""
    yield Title(
        spans((f"{house_name}, {plan.year}", "strong"), (f"   {plan.season.name}", "quiet"))
    )
    yield Gap()
    marks = entry_marks(plan)
    yield Drawn(partial(_months, plan, lit_colours(plan), marks), "")
    yield entries_table(plan, bill, marks=marks)
    yield Gap()
    yield energy_table(plan, bill)
    yield Gap()
    yield words(idle_said(plan, bill))
    yield note(WATCHED)
    if plan.findings:
        yield section("To know", Findings(plan.findings), inset=False)
    yield section("Cautions", Cautions(cautions), inset=False)


def lit_colours(plan: YearPlan) -> Colours:
    """A few colours of every scheme of the season."""
    return {name: swatch(scheme) for name, scheme in plan.season.schemes.items()}


def entry_marks(plan: YearPlan) -> Marks:
    """A letter for every entry: whose a day is can be read without colours too.

    Ordinary evenings have none, nor have dark ones where all others are entries'.
    """
    letters = iter(ascii_letters)
    found = {
        (entry.why, entry.scheme): " " if entry.why == "otherwise" else next(letters, _MORE)
        for entry in entries(plan)
    }
    return {**found, ("", ""): _DARK if " " in found.values() else " "}


def _months(plan: YearPlan, colours: Colours, marks: Marks, width: int) -> RenderableType:
    across = max(1, (width + _GAP) // (_MONTH_WIDTH + _GAP))
    across = max(n for n in (1, 2, 3, 4, 6) if n <= across)
    grid = rich_table.Table.grid(padding=(0, _GAP, 0, 0))
    for _ in range(across):
        grid.add_column(width=_MONTH_WIDTH)
    first_column = first_weekday(plan.season.location.country)
    by_date = {evening.date: evening for evening in plan.evenings}
    blocks = []
    for month in range(1, 13):
        lines = [
            Text(calendar.month_name[month].center(_MONTH_WIDTH).rstrip(), style="bold"),
            Text(" ".join(weekday_names(first_column)), style=_QUIET),
        ]
        for week in calendar.Calendar(first_column).monthdatescalendar(plan.year, month):
            cells = [
                _cell(by_date[day], colours, marks) if day.month == month else Text("   ")
                for day in week
            ]
            lines.append(Text.assemble(*cells))
        blocks.append(Group(*lines, Text()))
    for first in range(0, 12, across):
        grid.add_row(*blocks[first : first + across])
    return grid


def _cell(evening: Evening, colours: Colours, marks: Marks) -> Text:
    """The day on its colours for an occasion, in its colour on an ordinary evening; its mark."""
    number = f"{evening.date.day:2d}"
    if not evening.lit or not evening.scheme:
        return Text(number + marks["", ""], style=_QUIET)
    own, mark = colours[evening.scheme], (marks[evening.why, evening.scheme], _QUIET)
    if evening.why == "otherwise":
        return Text.assemble((number, own[0]), mark)
    pair = (own[0], own[1] if len(own) > 1 else own[0])
    return Text.assemble(
        *(
            (digit, f"bold {_ink(paper)} on {paper}")
            for digit, paper in zip(number, pair, strict=True)
        ),
        mark,
    )


def _ink(paper: str) -> str:
    """Black or white, whichever reads better on the colour."""
    return "#000000" if linear_rgb(paper) @ LUMINANCE > 0.18 else "#ffffff"


def entries_table(
    plan: YearPlan, bill: Bill, *, marks: Marks | None = None, span: str = " .. ", unit: str = ""
) -> Table:
    """Which scheme on which evenings.

    `marks` stand in front, `span` between the first and last day of an entry, `unit` after watts;
    without one, the column has it.
    """
    colours, rows = lit_colours(plan), []
    for entry in entries(plan):
        usual = entry.why == "otherwise"
        blocks = (Span("█", colour) for colour in colours[entry.scheme][:2])
        rows.append(
            row(
                *([marks[entry.why, entry.scheme]] if marks else []),
                f"{len(entry.evenings)} others" if usual else entry.when,
                "" if usual else entry.why.replace("..", span),
                (*blocks, Span(" "), Span(scheme_name(plan, entry.scheme))),
                entry.on,
                entry.off,
                f"{bill.watts.lit[entry.scheme]:.0f}{unit}",
            )
        )
    dark = sum(not (evening.lit and evening.scheme) for evening in plan.evenings)
    if marks and marks["", ""] == _DARK and dark:
        rows.append(row(_DARK, f"{dark} dark", *[""] * 5))
    heads = ("Evenings", "Entry", "Scheme", ">On", ">Off", ">Mean" if unit else ">Mean W")
    return Table(columns(*([""] if marks else []), *heads), tuple(rows))


def energy_table(plan: YearPlan, bill: Bill) -> Table:
    """Hours, energy and money of every month and of the year."""
    tariff = plan.season.tariff
    money = [f">{tariff.currency}"] if tariff else []
    heads = ("\nMonth", ">\nEvenings", ">Hours\nlit", ">kWh\nlit", ">kWh\nidle", *money, "\n")
    most = max((share.kwh for share in bill.months), default=0) or 1
    rows = [
        row(*_figures(share, bool(money)), Length(share.kwh / most, share.kwh_lit / most))
        for share in bill.months
    ]
    rows.append(row(*_figures(bill.year, bool(money)), Length(0.0, 0.0), look="strong"))
    return Table(columns(*heads), tuple(rows))


def _figures(share: Share, money: bool) -> list[str]:
    texts = [
        share.name,
        f"{share.evenings}",
        f"{share.hours_lit:.0f}",
        f"{share.kwh_lit:.1f}",
        f"{share.kwh_idle:.1f}",
    ]
    return [*texts, *([f"{share.cost:.2f}"] if money else [])]


def idle_said(plan: YearPlan, bill: Bill) -> str:
    """What the house takes while dark, and what switching it off saves."""
    saved = f"{bill.saved_kwh:.0f} kWh a year"
    if bill.saved_cost is not None and plan.season.tariff:
        saved += f" ({bill.saved_cost:.2f} {plan.season.tariff.currency})"
    if not bill.watts.fed:
        return (
            f"Dark but powered, the pixels take {bill.watts.idle:.1f} W; what supplies take on top"
            f" is not known. Switching them off whenever nothing is lit saves {saved} and more."
            f" {SWITCHING}{undriven_said(bill)}"
        )
    return (
        f"Dark but powered, the house takes {bill.watts.idle:.1f} W from the mains. Switching the"
        f" supplies off whenever nothing is lit saves {saved}. {SWITCHING}{undriven_said(bill)}"
    )


def undriven_said(bill: Bill) -> str:
    """What is taken where the controller is off and the supplies are on; "" where that is dark."""
    if bill.watts.undriven is None:
        return ""
    return (
        f" Dark is only what gets data: with the controller off and the supplies on some pixels"
        f" light by themselves, and up to {bill.watts.undriven:.1f} W are taken."
    )
