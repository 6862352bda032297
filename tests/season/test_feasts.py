"""Movable feasts against published dates."""

from datetime import date, timedelta

import pytest
from dateutil.easter import EASTER_ORTHODOX, EASTER_WESTERN
from dateutil.easter import easter as dateutil_easter

from sim.season.feasts import advent, easter, orthodox_easter
from sim.season.occasions import occasions

# Easter Sunday: J. Meeus, Astronomical Algorithms, 2nd ed., ch. 8, worked examples and extremes
# [from memory].
PUBLISHED_EASTER = [(1991, 3, 31), (1992, 4, 19), (1993, 4, 11), (1954, 4, 18), (2000, 4, 23)]
# Earliest and latest possible dates within the years a season may have (22 March, 25 April): the
# latest fell in 1943 and falls in 2038 [from memory].
LATEST_EASTER = [(1943, 4, 25), (2038, 4, 25)]


@pytest.mark.parametrize("published", PUBLISHED_EASTER + LATEST_EASTER)
def test_easter(published):
    assert easter(published[0]) == date(*published)


def test_easter_of_every_year_agrees_with_dateutil():
    # python-dateutil, an independent program (algorithm of C. F. Gauss as given by Oudin).
    for year in range(1900, 2201):
        assert easter(year) == dateutil_easter(year, EASTER_WESTERN)
        assert orthodox_easter(year) == dateutil_easter(year, EASTER_ORTHODOX)


def test_easter_is_a_sunday_in_its_bounds():
    for year in range(1900, 2201):
        found = easter(year)
        assert found.weekday() == 6
        assert date(year, 3, 22) <= found <= date(year, 4, 25)
        assert orthodox_easter(year).weekday() == 6


# First Sunday of Advent, liturgical calendars [from memory].
@pytest.mark.parametrize(
    "published", [(2022, 11, 27), (2023, 12, 3), (2024, 12, 1), (2026, 11, 29)]
)
def test_advent(published):
    assert advent(published[0]) == date(*published)


def test_advent_holds_four_sundays_before_christmas():
    for year in range(1900, 2201):
        first = advent(year)
        assert first.weekday() == 6
        assert first + timedelta(weeks=3) < date(year, 12, 25) <= first + timedelta(weeks=4)


# The fourth Sunday of Lent in the Church of England's calendar, Mothering Sunday on the wall
# calendars of Britain and Ireland [from memory].
@pytest.mark.parametrize(
    "published", [(2022, 3, 27), (2023, 3, 19), (2024, 3, 10), (2025, 3, 30), (2026, 3, 15)]
)
@pytest.mark.parametrize("country", ["GB-ENG", "IE", "US", "GR", None])
def test_mothering_sunday(published, country):
    found = occasions(country, published[0]).of("Mothering Sunday")
    assert date(*published) in found
    assert sum(day.year == published[0] for day in found) == 1


# Days off as the governments list them for 2024 and 2026 [from memory]: Greece and Romania keep the
# Julian reckoning (Easter 5 May 2024, 12 April 2026), Poland the Gregorian (31 March, 5 April). The
# Easters themselves: python-dateutil, see above.
@pytest.mark.parametrize(
    ("country", "name", "published"),
    [
        ("GR", "Good Friday", [(2024, 5, 3), (2026, 4, 10)]),
        ("GR", "Easter", [(2024, 5, 5), (2026, 4, 12)]),
        ("GR", "Easter Monday", [(2024, 5, 6), (2026, 4, 13)]),
        ("GR", "Whit Monday", [(2024, 6, 24), (2026, 6, 1)]),
        ("GR", "Western Easter", [(2024, 3, 31), (2026, 4, 5)]),
        ("RO", "Easter Sunday", [(2024, 5, 5), (2026, 4, 12)]),
        ("RO", "Pentecost", [(2024, 6, 23), (2026, 5, 31)]),
        ("RU", "Easter", [(2024, 5, 5), (2026, 4, 12)]),
        ("MK", "Easter Monday", [(2024, 5, 6), (2026, 4, 13)]),
        ("PL", "Easter", [(2024, 3, 31), (2026, 4, 5)]),
        ("PL", "Easter Monday", [(2024, 4, 1), (2026, 4, 6)]),
        ("PL", "Orthodox Easter Monday", [(2024, 5, 6), (2026, 4, 13)]),
        (None, "Orthodox Good Friday", [(2024, 5, 3), (2026, 4, 10)]),
    ],
)
def test_one_country_keeps_one_easter(country, name, published):
    for each in published:
        days = [day for day in occasions(country, each[0]).of(name) if day.year == each[0]]
        assert days == [date(*each)]


def test_days_from_easter_stay_together_in_every_country():
    import holidays

    for country in holidays.list_supported_countries(include_aliases=False):
        known = occasions(country, 2026)
        easter_day, *more = (day for day in known.of("Easter") if day.year == 2026)
        assert not more, country
        for name, after in (("Good Friday", -2), ("Easter Monday", 1), ("Pentecost", 49)):
            found = [day for day in known.of(name) if day.year == 2026]
            assert easter_day + timedelta(days=after) in found, (country, name, found)


# First evening of each feast as printed in calendars [from memory]: Hanukkah begins on the evening
# before its first day (first candle 25 December 2024, 14 December 2025, 4 December 2026); Lunar
# New Year 10 February 2024, 29 January 2025, 17 February 2026; Diwali 31 October 2024 (1 November
# in some places), 20 October 2025, 8 November 2026; Holi 25 March 2024, 14 March 2025; Eid al-Fitr
# 10 April 2024, 31 March 2025; Orthodox Easter 5 May 2024, 20 April 2025, 12 April 2026.
PUBLISHED_FEASTS = [
    ("Hanukkah", date(2024, 12, 25)),
    ("Hanukkah", date(2025, 12, 14)),
    ("Hanukkah", date(2026, 12, 4)),
    ("Lunar New Year", date(2024, 2, 10)),
    ("Lunar New Year", date(2025, 1, 29)),
    ("Lunar New Year", date(2026, 2, 17)),
    ("Diwali", date(2024, 10, 31)),
    ("Diwali", date(2025, 10, 20)),
    ("Diwali", date(2026, 11, 8)),
    ("Holi", date(2024, 3, 25)),
    ("Holi", date(2025, 3, 14)),
    ("Eid al-Fitr", date(2024, 4, 10)),
    ("Eid al-Fitr", date(2025, 3, 31)),
    ("Orthodox Easter", date(2024, 5, 5)),
    ("Orthodox Easter", date(2026, 4, 12)),
    ("Mid-Autumn Festival", date(2026, 9, 25)),
    ("Ash Wednesday", date(2026, 2, 18)),
    ("Pentecost", date(2026, 5, 24)),
]


@pytest.mark.parametrize(("name", "published"), PUBLISHED_FEASTS)
def test_feasts_of_the_moon(name, published):
    found = occasions("US", published.year).of(name)
    assert next(day for day in found if day >= date(published.year, 1, 10)) == published


@pytest.mark.parametrize("year", [2023, 2024, 2025, 2026])
def test_hanukkah_has_eight_evenings_also_across_new_year(year):
    evenings = [
        day
        for near in (year, year + 1)
        for day in occasions("US", near).of("Hanukkah")
        if date(year, 11, 20) < day < date(year + 1, 1, 10)
    ]
    first = min(evenings)
    assert sorted(set(evenings)) == [first + timedelta(days=n) for n in range(8)]


def test_the_first_candle_is_lit_on_the_eve_in_israel_too():
    assert occasions("IL", 2026).of("Hanukkah") == occasions("US", 2026).of("Hanukkah")


def test_a_date_the_moon_decides_is_marked():
    known = occasions("US", 2045)
    assert {("eid al-fitr", day) for day in known.of("Eid al-Fitr")} <= known.estimated
    assert not any(name == "christmas" for name, _ in known.estimated)
