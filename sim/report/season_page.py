"""The planned year as one HTML page, complete in itself, for the screen and the printer."""

from __future__ import annotations

import calendar
from dataclasses import dataclass
from importlib import resources

from layouts.finding import Finding
from sim.report.season_data import SWITCHING, WATCHED, entries, scheme_name
from sim.report.season_swatch import swatch
from sim.report.wording import sentence
from sim.season.bill import Bill
from sim.season.days import first_weekday, weekday_names
from sim.season.plan import Evening, YearPlan


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


def page(
    house_name: str,
    plan: YearPlan,
    bill: Bill,
    findings: tuple[Finding, ...],
    cautions: tuple[str, ...],
) -> bytes:
    """The calendar, what shines when, energy and money, findings and cautions as HTML."""
    from jinja2 import Environment, StrictUndefined

    lamps = {name: _lamp(swatch(scheme)) for name, scheme in plan.season.schemes.items()}
    template = resources.files("sim.report").joinpath("season_page.html.j2").read_text("utf-8")
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    text = environment.from_string(template).render(
        house=house_name,
        plan=plan,
        season=plan.season,
        bill=bill,
        months=[_month(plan, month, lamps) for month in range(1, 13)],
        weekdays=weekday_names(first_weekday(plan.season.location.country)),
        entries=entries(plan),
        lamps=lamps,
        names={name: scheme_name(plan, name) for name in plan.season.schemes},
        most_kwh=max(share.kwh for share in bill.months) or 1.0,
        findings=findings,
        sentence=sentence,
        cautions=(WATCHED, SWITCHING, *cautions),
    )
    return text.encode()


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
