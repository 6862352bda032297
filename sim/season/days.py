"""Days in words, and the years that can be planned for."""

from __future__ import annotations

import calendar
from collections.abc import Iterable
from datetime import date, timedelta

from layouts.errors import EvenfallError

#: The years a season can be planned for: those the calendars and the sun's formulas are good for.
FIRST_YEAR, LAST_YEAR = 1900, 2200

#: Where calendars begin the week on Sunday; elsewhere on Monday (ISO 8601).
#: Unicode CLDR, supplemental week data [from memory], shortened.
_SUNDAY_FIRST = ("BR", "CA", "CO", "HK", "IL", "IN", "JP", "KR", "MX", "PE", "PH", "TW", "US", "ZA")


def check_year(year: int) -> None:
    """Raises EvenfallError for a year no season can be planned for."""
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise EvenfallError(f"the year {year} is outside {FIRST_YEAR} to {LAST_YEAR}; name another")


def first_weekday(country: str) -> int:
    """The first column of a calendar: 0 Monday, 6 Sunday."""
    return calendar.SUNDAY if country.partition("-")[0] in _SUNDAY_FIRST else calendar.MONDAY


def weekday_names(first: int) -> list[str]:
    """Two letters a weekday, from the first column on."""
    return [calendar.day_name[(first + n) % 7][:2] for n in range(7)]


def dates(days: Iterable[date], most: int = 4) -> str:
    """Days as readable stretches: '4–11 Dec, 24 Dec'; a longer list ends in how many follow."""
    stretches: list[tuple[date, date]] = []
    for day in days:
        if stretches and day - stretches[-1][1] == timedelta(days=1):
            stretches[-1] = (stretches[-1][0], day)
        else:
            stretches.append((day, day))
    told = [_stretch(first, last) for first, last in stretches[:most]]
    more = len(stretches) - most
    return ", ".join(told) + (f" and {more} more" if more > 0 else "")


def _stretch(first: date, last: date) -> str:
    if first == last:
        return f"{first.day} {first:%b}"
    if first.month == last.month:
        return f"{first.day}–{last.day} {last:%b}"
    return f"{first.day} {first:%b} – {last.day} {last:%b}"
