"""When a night of the season is: a date, a holiday, a rule or a span, from text to dates.

12-24 · 2026-12-24                            a date, every year or once
Halloween · Easter + 1                        a holiday, or days from one
first Saturday of December · 2nd Sunday of May · last Monday of May
12-01..12-26 · Thanksgiving Day + 1..01-06    a span, both ends included, across New Year too
every Friday · every Friday and Saturday
"""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import date, timedelta
from enum import IntEnum

from sim.season.days import FIRST_YEAR, LAST_YEAR
from sim.season.occasions import Occasions

_WEEKDAYS = [name.casefold() for name in calendar.day_name]
_MONTHS = [name.casefold() for name in calendar.month_name]
_COUNTS = {
    **{"first": 1, "second": 2, "third": 3, "fourth": 4, "fifth": 5, "last": -1},
    **{"1st": 1, "2nd": 2, "3rd": 3, "4th": 4, "5th": 5},
}
_DATE = re.compile(r"(?:(\d{4})-)?(\d{1,2})-(\d{1,2})")
_RULE = re.compile(r"(\w+)\s+(\w+)\s+(?:of|in)\s+(\w+)", re.IGNORECASE)
_EVERY = re.compile(r"every\s+(.+)", re.IGNORECASE)
#: How dates are written elsewhere; they are refused with what to write here.
_NUMBERS = re.compile(r"(\d{1,2})\s*[/.]\s*(\d{1,2})\s*(?:[/.]\s*(\d{4}|\d{2})?)?")
_DAY_MONTH = re.compile(r"(\d{1,2})(?:st|nd|rd|th|\.)?\s+(?:of\s+)?([^\W\d]+)\.?", re.IGNORECASE)
_MONTH_DAY = re.compile(r"([^\W\d]+)\.?\s+(\d{1,2})(?:st|nd|rd|th)?", re.IGNORECASE)
_FROM_HOLIDAY = re.compile(r"(.*\S)\s*([+-])\s*(\d{1,3})(?:\s+days?)?")


class Rank(IntEnum):
    """Which entry counts where several fall on one evening: the highest."""

    OTHERWISE = 0
    WEEKLY = 1
    SPAN = 2
    AROUND = 3  # the days before and after a named day
    DAY = 4


class NotWhen(ValueError):
    """Text that is no date, holiday, rule or span; `do` says what to write."""

    def __init__(self, what: str, do: str):
        super().__init__(what)
        self.what, self.do = what, do


@dataclass(frozen=True)
class Date:
    """A date of every year, or of one year."""

    month: int
    day: int
    year: int | None = None
    rank = Rank.DAY

    def evenings(self, year: int, known: Occasions) -> tuple[date, ...]:
        if self.year not in (None, year) or self.day > _month_length(year, self.month):
            return ()
        return (date(year, self.month, self.day),)


@dataclass(frozen=True)
class Holiday:
    """A holiday by name, `shift` days later."""

    name: str
    shift: int = 0
    rank = Rank.DAY

    def evenings(self, year: int, known: Occasions) -> tuple[date, ...]:
        found = known.of(self.name) or ()
        shifted = (day + timedelta(days=self.shift) for day in found)
        return tuple(day for day in shifted if day.year == year)


@dataclass(frozen=True)
class NthWeekday:
    """The n-th weekday of a month; −1 is the last."""

    count: int
    weekday: int  # 0 Monday
    month: int
    rank = Rank.DAY

    def evenings(self, year: int, known: Occasions) -> tuple[date, ...]:
        days = [
            date(year, self.month, day)
            for day in range(1, _month_length(year, self.month) + 1)
            if date(year, self.month, day).weekday() == self.weekday
        ]
        at = self.count - 1 if self.count > 0 else self.count
        return (days[at],) if at < len(days) else ()


@dataclass(frozen=True)
class Weekly:
    """Some weekdays of every week."""

    weekdays: frozenset[int]
    rank = Rank.WEEKLY

    def evenings(self, year: int, known: Occasions) -> tuple[date, ...]:
        return tuple(day for day in days_of(year) if day.weekday() in self.weekdays)


@dataclass(frozen=True)
class DaySpan:
    """From one day to the next time the other comes, both included."""

    first: Date | Holiday | NthWeekday
    last: Date | Holiday | NthWeekday
    rank = Rank.SPAN

    def evenings(self, year: int, known: Occasions) -> tuple[date, ...]:
        found: list[date] = []
        for started in (year - 1, year):
            ends = self._ends(started, known)
            if ends:
                length = (ends[1] - ends[0]).days + 1
                found += [ends[0] + timedelta(days=n) for n in range(length)]
        return tuple(sorted({day for day in found if day.year == year}))

    def length_days(self, year: int, known: Occasions) -> int | None:
        """Evenings of the span that begins in `year`; None where none begins."""
        ends = self._ends(year, known)
        return (ends[1] - ends[0]).days + 1 if ends else None

    def turns(self, year: int, known: Occasions) -> bool:
        """Whether the span that begins in `year` runs over New Year, its years left open."""
        written = [end.year for end in (self.first, self.last) if isinstance(end, Date)]
        ends = self._ends(year, known)
        return bool(ends) and not any(written) and ends[1].year > ends[0].year  # type: ignore[index]

    def _ends(self, started: int, known: Occasions) -> tuple[date, date] | None:
        start = self.first.evenings(started, known)[:1]
        ends = [
            end
            for ending in (started, started + 1)
            for end in self.last.evenings(ending, known)
            if start and end >= start[0]
        ]
        return (start[0], ends[0]) if start and ends else None


Day = Date | Holiday | NthWeekday
When = Day | Weekly | DaySpan


def parse(text: str) -> When:
    """The text of a season's `when`. Raises NotWhen; holidays are not looked up here."""
    text = " ".join(text.split())
    if ".." in text:
        first, last = (_day(part.strip()) for part in text.split("..", 1))
        return DaySpan(first, last)
    if every := _EVERY.fullmatch(text):
        return Weekly(frozenset(_weekday(word) for word in _listed(every[1])))
    return _day(text)


def holidays_in(when: When) -> tuple[str, ...]:
    """The holiday names that `when` relies on."""
    days = (when.first, when.last) if isinstance(when, DaySpan) else (when,)
    return tuple(day.name for day in days if isinstance(day, Holiday))


def days_of(year: int) -> list[date]:
    """Every day of the year."""
    return [
        date(year, 1, 1) + timedelta(days=n) for n in range(366 if calendar.isleap(year) else 365)
    ]


def _day(text: str) -> Day:
    if not text:
        raise NotWhen("a span lacks one of its ends", "write it as 12-01..12-26")
    if found := _DATE.fullmatch(text):
        return _date(text, found)
    if (found := _RULE.fullmatch(text)) and found[1].casefold() in _COUNTS:
        if found[3].casefold() == "advent" and weekday_of(found[2]) == "Sunday":
            raise NotWhen(f"'{text}' is a holiday with a name of its own", _advent(found[1]))
        return NthWeekday(_COUNTS[found[1].casefold()], _weekday(found[2]), _month(found[3]))
    if found := _FROM_HOLIDAY.fullmatch(text):
        return Holiday(found[1], int(found[2] + found[3]))
    if written := _written_elsewhere(text):
        raise NotWhen(f"'{text}' is not how a date is written here", written)
    if text[0].isdigit():
        raise NotWhen(f"'{text}' is no date", "write MM-DD, such as 12-24, or YYYY-MM-DD")
    return Holiday(text)


def _advent(count: str) -> str:
    """What to write for a Sunday of Advent; there are four."""
    number = _COUNTS[count.casefold()] % 5  # the last one is the fourth
    names = ("First", "Second", "Third", "Fourth")
    each = ", ".join(f"'{name} Advent'" for name in names)
    return f"write '{names[number - 1]} Advent'" if number else f"write one of {each}"


def _written_elsewhere(text: str) -> str:
    """What to write for a date written with slashes, points or a month's name; "" for others."""
    if found := _NUMBERS.fullmatch(text):
        one, other = int(found[1]), int(found[2])
        year = f"{found[3] if len(found[3]) == 4 else '20' + found[3]}-" if found[3] else ""
        both = [
            (month, day)
            for month, day in ((one, other), (other, one))
            if 1 <= month <= 12 and 1 <= day <= _month_length(2000, month)
        ]
        ways = [
            f"{year}{month:02d}-{day:02d} for {day} {calendar.month_name[month]}"
            for month, day in dict.fromkeys(both)
        ]
        return f"write {' or '.join(ways)}" if ways else ""
    for form, day_at, month_at in ((_DAY_MONTH, 1, 2), (_MONTH_DAY, 2, 1)):
        if found := form.fullmatch(text):
            month, day = _month_number(found[month_at]), int(found[day_at])
            if month and 1 <= day <= _month_length(2000, month):
                return f"write {month:02d}-{day:02d}"
    return ""


def _month_number(word: str) -> int:
    """1 to 12 for a month's name or its first three letters, 0 for any other word."""
    whole = [name for name in _MONTHS if name and name.startswith(word.casefold())]
    return _MONTHS.index(whole[0]) if len(word) >= 3 and len(whole) == 1 else 0


def _date(text: str, found: re.Match[str]) -> Date:
    year = int(found[1]) if found[1] else None
    month, day = int(found[2]), int(found[3])
    if year is not None and not FIRST_YEAR <= year <= LAST_YEAR:
        what = f"the year of {text} is outside {FIRST_YEAR} to {LAST_YEAR}"
        raise NotWhen(what, "write a year in between, or none for every year")
    if not 1 <= month <= 12 or not 1 <= day <= _month_length(year or 2000, month):
        raise NotWhen(f"there is no date {text}", "write MM-DD, such as 12-24")
    return Date(month, day, year)


def _listed(text: str) -> list[str]:
    return [word for word in re.split(r",|\band\b|\s", text) if word]


def weekday_of(word: str) -> str:
    """The weekday that a word is one or several of, `Fridays` or `fri`; "" for any other word."""
    begin = word.casefold().removesuffix("s")
    whole = [day for day in calendar.day_name if day.casefold().startswith(begin)]
    return whole[0] if len(begin) >= 3 and len(whole) == 1 else ""


def _weekday(word: str) -> int:
    return _index(word, _WEEKDAYS, "weekday")


def _month(word: str) -> int:
    return _index(word, _MONTHS, "month")


def _index(word: str, names: list[str], what: str) -> int:
    from layouts.files.names import did_you_mean

    if word.casefold() in names:
        return names.index(word.casefold())
    titles = [name.capitalize() for name in names if name]
    raise NotWhen(f"'{word}' is no {what}", did_you_mean(word, titles))


def _month_length(year: int, month: int) -> int:
    return calendar.monthrange(year, month)[1]
