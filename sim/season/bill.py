"""What the year costs: hours lit, energy lit and idle, money."""

from __future__ import annotations

import calendar
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from sim.season.plan import YearPlan
from sim.season.records import Evening


@dataclass(frozen=True)
class Watts:
    """What the house takes from the mains [W]; what its pixels take where no supply is named."""

    lit: Mapping[str, float]  # mean of each scheme, by its name in the season
    idle: float  # supplies on, every pixel dark
    fed: bool = True  # False: no supply is named, and what the mains give is not known
    undriven: float | None = None  # at most, with power and no data; None: nothing lights by itself


@dataclass(frozen=True)
class Share:
    """Hours and energy of one month, one scheme or the year."""

    name: str
    evenings: int  # lit
    hours_lit: float
    kwh_lit: float
    hours_idle: float
    kwh_idle: float
    cost: float | None  # of both, None without a tariff

    @property
    def kwh(self) -> float:
        """[kWh] lit and idle."""
        return self.kwh_lit + self.kwh_idle


@dataclass(frozen=True)
class Bill:
    """The energy of a planned year. An evening's light counts in the month it begins in."""

    months: tuple[Share, ...]
    schemes: tuple[Share, ...]  # lit only
    year: Share
    watts: Watts
    per_kwh: float | None

    @property
    def saved_kwh(self) -> float:
        """[kWh] a year less when the supplies are switched off whenever nothing is lit."""
        return self.year.kwh_idle

    @property
    def saved_cost(self) -> float | None:
        """What that energy costs; None without a tariff."""
        if self.per_kwh is None:
            return None
        return self.saved_kwh * self.per_kwh


def bill(plan: YearPlan, watts: Watts) -> Bill:
    """Hours and energy of the planned year: lit at each scheme's mean watts, idle the rest."""
    tariff = plan.season.tariff
    per_kwh = tariff.per_kwh if tariff else None

    def share(name: str, evenings: list[Evening], hours: float | None) -> Share:
        lit = [evening for evening in evenings if evening.lit and evening.scheme]
        hours_lit = sum(evening.hours for evening in lit)
        kwh_lit = sum(evening.hours * watts.lit[evening.scheme or ""] for evening in lit) / 1000
        hours_idle = 0.0 if hours is None else max(0.0, hours - hours_lit)
        kwh_idle = hours_idle * watts.idle / 1000
        cost = None if per_kwh is None else (kwh_lit + kwh_idle) * per_kwh
        return Share(name, len(lit), hours_lit, kwh_lit, hours_idle, kwh_idle, cost)

    months = tuple(
        share(
            calendar.month_name[month],
            [evening for evening in plan.evenings if evening.date.month == month],
            _hours(plan, month),
        )
        for month in range(1, 13)
    )
    used = dict.fromkeys(evening.scheme for evening in plan.evenings if evening.scheme)
    schemes = tuple(
        share(scheme, [evening for evening in plan.evenings if evening.scheme == scheme], None)
        for scheme in used
    )
    whole = share(
        str(plan.year), list(plan.evenings), sum(_hours(plan, month) for month in range(1, 13))
    )
    return Bill(months, schemes, whole, watts, per_kwh)


def _hours(plan: YearPlan, month: int) -> float:
    """[h] of a local month, changes of the clocks included."""
    zone = ZoneInfo(plan.season.location.timezone)
    after = (plan.year, month + 1) if month < 12 else (plan.year + 1, 1)
    begins, ends = (
        datetime(year, number, 1, tzinfo=zone).astimezone(UTC)
        for year, number in ((plan.year, month), after)
    )
    return (ends - begins).total_seconds() / 3600
