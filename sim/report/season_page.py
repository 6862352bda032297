"""The planned year as one HTML page, complete in itself, for the screen and the printer."""

from __future__ import annotations

import calendar
from collections.abc import Iterator
from dataclasses import dataclass

from sim.report.blocks import Block, Cautions, Drawn, Findings, Title, note, section, spans, words
from sim.report.page import page, template
from sim.report.season_data import WATCHED, scheme_name
from sim.report.season_screen import energy_table, entries_table, idle_said, lit_colours
from sim.season.bill import Bill
from sim.season.days import first_weekday, weekday_names
from sim.season.plan import YearPlan
from sim.season.records import Evening


@dataclass(frozen=True)
class _Day:
    """One day as drawn; `lamp` is a CSS background, "" where nothing is lit."""

    number: int
    lamp: str
    special: bool
    title: str


@dataclass(frozen=True)
class _Month:
    name: str
    first_column: int  # from 1
    days: tuple[_Day, ...]


def season_page(house_name: str, plan: YearPlan, bill: Bill, cautions: tuple[str, ...]) -> bytes:
    """The calendar, what shines when, energy and money, findings and cautions as HTML."""
    blocks = _blocks(house_name, plan, bill, cautions)
    css = template("season_page.css").render()
    return page(blocks, title=f"{house_name}, {plan.year}", css=css)


def _blocks(
    house_name: str, plan: YearPlan, bill: Bill, cautions: tuple[str, ...]
) -> Iterator[Block]:
    season = plan.season
    at = season.location
    where = f"{at.latitude:.2f}°, {at.longitude:.2f}° · {at.timezone}"
    lit = f"lit from {season.on.text} to {season.off.text}"
    yield Title(
        spans(
            f"{house_name} ",
            (f"{plan.year}", "strong"),
            (f"\n{season.name} · {where} · {lit}", "quiet"),
        )
    )
    yield _drawn("season_year.html.j2", weekdays=_weekdays(plan), months=_months(plan))
    yield _drawn("season_sums.html.j2", season=season, bill=bill)
    yield section("What shines when", entries_table(plan, bill, span=" – ", unit=" W"))
    yield section("Energy", energy_table(plan, bill), words(idle_said(plan, bill)))
    if plan.findings:
        yield section("To know", Findings(plan.findings))
    yield section("Cautions", note(WATCHED), Cautions(cautions))


def _drawn(name: str, **given: object) -> Drawn:
    return Drawn(lambda width: "", template(name).render(**given))


def _weekdays(plan: YearPlan) -> list[str]:
    return weekday_names(first_weekday(plan.season.location.country))


def _months(plan: YearPlan) -> list[_Month]:
    lamps = {name: _lamp(colours) for name, colours in lit_colours(plan).items()}
    return [_month(plan, month, lamps) for month in range(1, 13)]


def _month(plan: YearPlan, month: int, lamps: dict[str, str]) -> _Month:
    evenings = [evening for evening in plan.evenings if evening.date.month == month]
    return _Month(
        calendar.month_name[month],
        (evenings[0].date.weekday() - first_weekday(plan.season.location.country)) % 7 + 1,
        tuple(_day(plan, evening, lamps) for evening in evenings),
    )


def _day(plan: YearPlan, evening: Evening, lamps: dict[str, str]) -> _Day:
    special = evening.why not in ("", "otherwise")
    if not evening.lit or not evening.scheme:
        return _Day(evening.date.day, "", special, "dark")
    title = (
        f"{scheme_name(plan, evening.scheme)}"
        f"{f' ({evening.why})' if special else ''},"
        f" {evening.lit.on:%H:%M}–{evening.lit.off:%H:%M}"
    )
    return _Day(evening.date.day, lamps[evening.scheme], special, title)


def _lamp(colours: tuple[str, ...]) -> str:
    """The colours side by side, each running softly into the next."""
    if len(colours) == 1:
        return colours[0]
    return f"linear-gradient(90deg, {', '.join(colours)})"
