"""Movable feasts by calculation: Easter and Advent."""

from __future__ import annotations

from datetime import date, timedelta


def easter(year: int) -> date:
    """Easter Sunday of the western churches, in the Gregorian calendar.

    The Gregorian computus in whole numbers (Meeus, Astronomical Algorithms, 2nd ed., ch. 8; valid
    for every year of that calendar).
    """
    golden = year % 19
    century, rest = divmod(year, 100)
    leap_centuries, of_four = divmod(century, 4)
    moon_correction = (century - (century + 8) // 25 + 1) // 3
    epact = (19 * golden + century - leap_centuries - moon_correction + 15) % 30
    leaps, of_leap = divmod(rest, 4)
    to_sunday = (32 + 2 * of_four + 2 * leaps - epact - of_leap) % 7
    late = (golden + 11 * epact + 22 * to_sunday) // 451
    month, day = divmod(epact + to_sunday - 7 * late + 114, 31)
    return date(year, month, day + 1)


def orthodox_easter(year: int) -> date:
    """Easter Sunday of the churches that keep the Julian computus, as a Gregorian date.

    Julian computus (Meeus, ch. 8) plus the days by which that calendar is behind.
    """
    moon = (19 * (year % 19) + 15) % 30
    sunday = (2 * (year % 4) + 4 * (year % 7) - moon + 34) % 7
    month, day = divmod(moon + sunday + 114, 31)
    behind = year // 100 - year // 400 - 2
    return date(year, month, day + 1) + timedelta(days=behind)


def advent(year: int) -> date:
    """The first Sunday of Advent: the fourth Sunday before Christmas Day."""
    christmas_eve = date(year, 12, 24)
    fourth_sunday = christmas_eve - timedelta(days=(christmas_eve.weekday() + 1) % 7)
    return fourth_sunday - timedelta(weeks=3)
