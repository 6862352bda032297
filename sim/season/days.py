"""Days in words."""

from __future__ import annotations

import calendar
from collections.abc import Iterable
from datetime import date, timedelta

#: Where calendars begin the week on Sunday; elsewhere on Monday (ISO 8601).
#: Unicode CLDR, supplemental week data [from memory], shortened.
_SUNDAY_FIRST = ("BR", "CA", "CO", "HK", "IL", "IN", "JP", "KR", "MX", "PE", "PH", "TW", "US", "ZA")


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
