"""The planned year on the screen: months in the schemes' colours, entries, energy."""

from __future__ import annotations

import calendar
from collections.abc import Iterator, Mapping

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from sim.report.season_data import SWITCHING, WATCHED, entries, scheme_name
from sim.report.season_swatch import swatch
from sim.season.bill import Bill, Share
from sim.season.days import first_weekday, weekday_names
from sim.season.plan import Evening, YearPlan

_MONTH_WIDTH = 20
_GAP = 4
_QUIET = "bright_black"
_BAR_WIDTH = 10

Colours = Mapping[str, tuple[str, ...]]


def season_screen(
    house_name: str, plan: YearPlan, bill: Bill, width: int
) -> Iterator[RenderableType]:
    """The report of a season, part by part, for a terminal of `width` columns."""
    colours = {name: swatch(scheme) for name, scheme in plan.season.schemes.items()}
    yield Text.assemble((f"{house_name}, {plan.year}", "bold"), (f"   {plan.season.name}", _QUIET))
    yield Text()
    yield _months(plan, colours, max(1, (width + _GAP) // (_MONTH_WIDTH + _GAP)))
    yield _entries(plan, bill, colours)
    yield Text()
    yield _energy(plan, bill)
    yield from _sums(plan, bill)


def _months(plan: YearPlan, colours: Colours, across: int) -> RenderableType:
    across = max(n for n in (1, 2, 3, 4, 6) if n <= across)
    grid = Table.grid(padding=(0, _GAP, 0, 0))
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
                _cell(by_date[day], colours) if day.month == month else Text("  ") for day in week
            ]
            lines.append(Text(" ").join(cells))
        blocks.append(Group(*lines, Text()))
    for first in range(0, 12, across):
        grid.add_row(*blocks[first : first + across])
    return grid


def _cell(evening: Evening, colours: Colours) -> Text:
    """Two characters: an occasion on its colours, an ordinary evening in its colour."""
    number = f"{evening.date.day:2d}"
    if not evening.lit or not evening.scheme:
        return Text(number, style=_QUIET)
    own = colours[evening.scheme]
    if evening.why == "otherwise":
        return Text(number, style=own[0])
    pair = (own[0], own[1] if len(own) > 1 else own[0])
    return Text.assemble(
        *(
            (digit, f"bold {_ink(paper)} on {paper}")
            for digit, paper in zip(number, pair, strict=True)
        )
    )


def _ink(paper: str) -> str:
    """Black or white, whichever reads better on the colour."""
    red, green, blue = (int(paper[at : at + 2], 16) / 255 for at in (1, 3, 5))
    luminance = 0.2126 * red**2.2 + 0.7152 * green**2.2 + 0.0722 * blue**2.2
    return "#000000" if luminance > 0.18 else "#ffffff"


def _entries(plan: YearPlan, bill: Bill, colours: Colours) -> RenderableType:
    rows = _table("Evenings", "Entry", "Scheme", ">On", ">Off", ">Mean W")
    for entry in entries(plan):
        bar = Text.assemble(*(("█", colour) for colour in colours[entry.scheme][:2]), " ")
        rows.add_row(
            Text(entry.when if entry.why != "otherwise" else f"{len(entry.evenings)} others"),
            Text("" if entry.why == "otherwise" else entry.why.replace("..", " .. ")),
            Text.assemble(bar, scheme_name(plan, entry.scheme)),
            Text(entry.on),
            Text(entry.off),
            Text(f"{bill.watts.lit[entry.scheme]:.0f}"),
        )
    return rows


def _energy(plan: YearPlan, bill: Bill) -> RenderableType:
    tariff = plan.season.tariff
    money = [f">{tariff.currency}"] if tariff else []
    rows = _table("\nMonth", ">\nEvenings", ">Hours\nlit", ">kWh\nlit", ">kWh\nidle", *money, "\n")
    most = max((share.kwh for share in bill.months), default=0) or 1
    for share in (*bill.months, bill.year):
        whole = share is bill.year
        bar = "" if whole else "━" * round(_BAR_WIDTH * share.kwh / most)
        rows.add_row(
            *_figures(share, bool(money)), Text(bar, "yellow"), style="bold" if whole else ""
        )
    return rows


def _figures(share: Share, money: bool) -> list[Text]:
    texts = [
        share.name,
        f"{share.evenings}",
        f"{share.hours_lit:.0f}",
        f"{share.kwh_lit:.1f}",
        f"{share.kwh_idle:.1f}",
    ]
    return [Text(text) for text in (*texts, *([f"{share.cost:.2f}"] if money else []))]


def _sums(plan: YearPlan, bill: Bill) -> Iterator[RenderableType]:
    yield Text()
    saved = f"{bill.saved_kwh:.0f} kWh a year"
    if bill.saved_cost is not None and plan.season.tariff:
        saved += f" ({bill.saved_cost:.2f} {plan.season.tariff.currency})"
    if not bill.watts.fed:
        yield Text(
            f"Dark but powered, the pixels take {bill.watts.idle:.1f} W; what supplies take on top"
            f" is not known. Switching them off whenever nothing is lit saves {saved} and more."
            f" {SWITCHING}"
        )
        yield Text(WATCHED, style=_QUIET)
        return
    yield Text(
        f"Dark but powered, the house takes {bill.watts.idle:.1f} W from the mains. Switching the"
        f" supplies off whenever nothing is lit saves {saved}. {SWITCHING}"
    )
    yield Text(WATCHED, style=_QUIET)


def _table(*columns: str) -> Table:
    """A table without boxes; a column whose name starts with `>` is set right."""
    made = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style=_QUIET)
    for name in columns:
        right = name.startswith(">")
        made.add_column(
            name.lstrip(">"), justify="right" if right else "left", no_wrap=right, overflow="fold"
        )
    return made
