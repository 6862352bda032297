"""From the text of `when` to evenings."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.season.occasions import occasions
from sim.season.when import NotWhen, Rank, days_of, parse


def evenings(text, year=2026, country="US"):
    return list(parse(text).evenings(year, occasions(country, year)))


# Wall calendars of 2026 and 2028 (1 January 2026 is a Thursday).
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("12-24", [date(2026, 12, 24)]),
        ("2026-12-24", [date(2026, 12, 24)]),
        ("2025-12-24", []),
        ("02-29", []),
        ("Halloween", [date(2026, 10, 31)]),
        ("Easter + 1", [date(2026, 4, 6)]),
        ("Easter - 2 days", [date(2026, 4, 3)]),
        ("Thanksgiving Day +1", [date(2026, 11, 27)]),
        ("first Saturday of December", [date(2026, 12, 5)]),
        ("First saturday in december", [date(2026, 12, 5)]),
        ("last Monday of May", [date(2026, 5, 25)]),
        ("fourth Thursday of November", [date(2026, 11, 26)]),
        ("2nd Sunday of May", [date(2026, 5, 10)]),
        ("1st saturday in december", [date(2026, 12, 5)]),
        ("3rd Monday of January", [date(2026, 1, 19)]),
        ("4th Thursday of November", [date(2026, 11, 26)]),
        ("5th Friday of May", [date(2026, 5, 29)]),
        ("fifth Monday of February", []),
        ("New Year's Day - 1", [date(2026, 12, 31)]),
    ],
)
def test_single_days(text, expected):
    assert evenings(text) == expected


def test_leap_day():
    assert evenings("02-29", 2028) == [date(2028, 2, 29)]


def test_fifth_weekday_where_there_is_one():
    assert evenings("fifth Friday of January") == [date(2026, 1, 30)]


@pytest.mark.parametrize(
    ("text", "count", "first", "last"),
    [
        ("12-01..12-26", 26, date(2026, 12, 1), date(2026, 12, 26)),
        ("2026-12-20..2027-01-06", 12, date(2026, 12, 20), date(2026, 12, 31)),
        ("Thanksgiving Day + 1 .. 12-26", 30, date(2026, 11, 27), date(2026, 12, 26)),
        ("first Sunday of June..last Saturday of June", 21, date(2026, 6, 7), date(2026, 6, 27)),
    ],
)
def test_spans(text, count, first, last):
    found = evenings(text)
    assert (len(found), found[0], found[-1]) == (count, first, last)


def test_a_span_crosses_new_year():
    found = evenings("12-20..01-06")
    assert found == [date(2026, 1, d) for d in range(1, 7)] + [
        date(2026, 12, d) for d in range(20, 32)
    ]


def test_a_span_of_one_year_only_has_its_second_half_in_the_next():
    assert evenings("2025-12-20..2026-01-06") == [date(2026, 1, d) for d in range(1, 7)]


def test_weekly():
    assert len(evenings("every Friday")) == 52
    assert {day.weekday() for day in evenings("every Friday and Saturday")} == {4, 5}
    assert evenings("every Monday, Tuesday") == evenings("every monday and tuesday")


@pytest.mark.parametrize(
    ("text", "rank"),
    [
        ("12-24", Rank.DAY),
        ("Halloween", Rank.DAY),
        ("first Saturday of December", Rank.DAY),
        ("12-01..12-26", Rank.SPAN),
        ("every Friday", Rank.WEEKLY),
    ],
)
def test_rank(text, rank):
    assert parse(text).rank is rank


@pytest.mark.parametrize(
    ("text", "what", "do"),
    [
        ("12-32", "there is no date 12-32", "write MM-DD, such as 12-24"),
        ("02-30", "there is no date 02-30", "write MM-DD, such as 12-24"),
        ("2026-02-29", "there is no date 2026-02-29", "write MM-DD, such as 12-24"),
        ("24/13", "'24/13' is no date", "write MM-DD, such as 12-24, or YYYY-MM-DD"),
        ("first Saturdy of December", "'Saturdy' is no weekday", "did you mean 'Saturday'?"),
        ("first Saturday of Decembre", "'Decembre' is no month", "did you mean 'December'?"),
        ("every Fryday", "'Fryday' is no weekday", "did you mean 'Friday'?"),
        (
            "1st Sunday of Advent",
            "'1st Sunday of Advent' is a holiday with a name of its own",
            "write 'First Advent'",
        ),
        (
            "last Sunday in advent",  # there are four
            "'last Sunday in advent' is a holiday with a name of its own",
            "write 'Fourth Advent'",
        ),
        (
            "first Monday of Advent",
            "'Advent' is no month",
            "there are: January, February, March, April, May, June, July, August, September,"
            " October, November, December",
        ),
        ("12-01..", "a span lacks one of its ends", "write it as 12-01..12-26"),
    ],
)
def test_what_cannot_be_read(text, what, do):
    with pytest.raises(NotWhen) as refused:
        parse(text)
    assert (refused.value.what, refused.value.do) == (what, do)


@pytest.mark.parametrize(
    ("text", "do"),
    [
        ("10/31", "write 10-31 for 31 October"),
        ("31/10", "write 10-31 for 31 October"),
        ("4/5", "write 04-05 for 5 April or 05-04 for 4 May"),
        ("6/6", "write 06-06 for 6 June"),
        ("24.12.", "write 12-24 for 24 December"),
        ("24. 12. 2026", "write 2026-12-24 for 24 December"),
        ("12/24/26", "write 2026-12-24 for 24 December"),
        ("December 24", "write 12-24"),
        ("24th of December", "write 12-24"),
        ("dec 24th", "write 12-24"),
    ],
)
def test_dates_as_they_are_written_elsewhere(text, do):
    with pytest.raises(NotWhen) as refused:
        parse(text)
    assert refused.value.what == f"'{text}' is not how a date is written here"
    assert refused.value.do == do


@pytest.mark.parametrize("text", ["3379-12-24", "0000-12-24", "1899-12-31", "2201-01-01"])
def test_years_that_no_season_can_be_planned_for(text):
    with pytest.raises(NotWhen, match=f"the year of {text} is outside 1900 to 2200"):
        parse(text)
    with pytest.raises(NotWhen):
        parse(f"{text}..12-31")


@pytest.mark.parametrize("text", ["1900-01-01", "2200-12-31"])
def test_the_first_and_the_last_day_of_all(text):
    assert parse(text).evenings(int(text[:4]), occasions(None, 2026)) == (date.fromisoformat(text),)


@given(st.dates(date(1901, 1, 1), date(2199, 12, 31)))
def test_every_date_is_found_in_its_own_year(day):
    known = occasions(None, 2026)
    assert parse(day.isoformat()).evenings(day.year, known) == (day,)
    assert parse(f"{day:%m-%d}").evenings(day.year, known) == (day,)


@given(st.dates(date(2025, 1, 1), date(2027, 12, 31)), st.integers(0, 200))
def test_a_span_holds_every_day_between_its_ends(first, length):
    last = first + timedelta(days=length)
    known = occasions(None, 2026)
    span = parse(f"{first.isoformat()}..{last.isoformat()}")
    found = [day for year in range(2025, 2030) for day in span.evenings(year, known)]
    assert found == [first + timedelta(days=n) for n in range(length + 1)]


@given(st.integers(1900, 2200))
def test_days_of_a_year(year):
    days = days_of(year)
    assert len(days) == 365 + (year % 4 == 0 and (year % 100 != 0 or year % 400 == 0))
    assert (days[0], days[-1]) == (date(year, 1, 1), date(year, 12, 31))
