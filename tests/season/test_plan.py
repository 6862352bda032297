"""Which entry counts, what is reported, evening by evening."""

from datetime import date

import pytest

from layouts.errors import EvenfallError
from layouts.records import Location
from sim.report.wording import sentence
from sim.season import load_season, plan

TROMSO = Location(69.65, 18.96, "Europe/Oslo", "NO")


def shown(planned, month, day):
    return next(e for e in planned.evenings if (e.date.month, e.date.day) == (month, day))


def codes(planned):
    return [finding.code for finding in planned.findings]


def test_every_evening_of_the_year_once(season):
    for year, days in ((2026, 365), (2028, 366)):
        evenings = plan(season(), year).evenings
        assert len(evenings) == days
        assert [e.date.timetuple().tm_yday for e in evenings] == list(range(1, days + 1))
        assert {e.scheme for e in evenings} == {"warm"}


def test_the_more_particular_entry_counts_wherever_it_stands(season):
    # 25 December 2026 is a Friday.
    rows = [("12-25", "day"), ("12-01..12-26", "span"), ("every Friday", "weekly")]
    for order in (rows, rows[::-1]):
        planned = plan(season(*order), 2026)
        assert shown(planned, 12, 25).scheme == "day"
        assert shown(planned, 12, 18).scheme == "span"
        assert shown(planned, 11, 13).scheme == "weekly"
        assert shown(planned, 11, 12).scheme == "warm"
        assert set(codes(planned)) == {"season-overlap"}
        assert all(finding.level == "note" for finding in planned.findings)


def test_among_equals_the_later_counts_and_a_warning_says_so(season):
    # 26 November 2026 is Thanksgiving Day.
    planned = plan(season(("11-26", "birthday"), ("Thanksgiving Day", "harvest")), 2026)
    assert shown(planned, 11, 26).scheme == "harvest"
    (clash,) = planned.findings
    assert (clash.level, clash.code, clash.where) == ("warning", "season-clash", "line 2")
    assert (
        "26 Nov: 'Thanksgiving Day' (line 2) counts because it stands after '11-26' (line 1)"
        in (sentence(clash))
    )
    assert "put the one that shall count last" in sentence(clash)
    assert not plan(season(("11-26", "birthday"), ("Thanksgiving Day", "harvest")), 2025).findings


def test_equal_entries_with_one_scheme_are_no_conflict(season):
    planned = plan(season(("11-26", "harvest"), ("Thanksgiving Day", "harvest")), 2026)
    assert planned.findings == ()


def test_days_around_a_holiday_beat_a_span_and_yield_to_a_day(season):
    rows = [("10-28", "birthday"), ("Halloween", "spooky", 6, 1), ("10-01..11-20", "harvest")]
    for order in (rows, rows[::-1]):
        planned = plan(season(*order), 2026)
        assert [shown(planned, 10, day).scheme for day in (24, 25, 28, 31)] == [
            "harvest",
            "spooky",
            "birthday",
            "spooky",
        ]
        assert [shown(planned, 11, day).scheme for day in (1, 2, 21)] == [
            "spooky",
            "harvest",
            "warm",
        ]
        assert set(codes(planned)) == {"season-overlap"}


def test_days_around_cross_new_year(season):
    planned = plan(season(("New Year's Day", "party", 2, 1)), 2026)
    assert [shown(planned, 1, day).scheme for day in (1, 2, 3)] == ["party", "party", "warm"]
    assert [shown(planned, 12, day).scheme for day in (29, 30, 31)] == ["warm", "party", "party"]


def test_overlapping_days_around_a_feast_of_several_days_keep_their_rank(season):
    planned = plan(season(("Hanukkah", "candles", 1, 1), ("12-07", "other")), 2026)
    assert codes(planned) == ["season-clash"]  # 7 December is a day of the feast itself


def test_without_otherwise_evenings_stay_dark(season):
    planned = plan(season(("Halloween", "spooky"), otherwise=None), 2026)
    assert sum(e.scheme is not None for e in planned.evenings) == 1
    assert shown(planned, 5, 5).lit is None
    assert shown(planned, 5, 5).why == ""


def test_an_entry_that_never_comes_is_told(season):
    planned = plan(season(("02-29", "leap"), ("2025-10-31", "past")), 2026)
    assert codes(planned) == ["season-never", "season-never"]
    assert "'02-29' falls on no evening of 2026" in sentence(planned.findings[0])
    assert "season-never" not in codes(plan(season(("02-29", "leap")), 2028))


def test_an_estimated_date_is_told(season):
    planned = plan(season(("Eid al-Fitr", "stars")), 2045)
    assert codes(planned) == ["season-estimated"]


def test_where_the_two_easters_differ_the_one_kept_is_told(season):
    athens = Location(37.98, 23.73, "Europe/Athens", "GR")
    planned = plan(season(("Easter", "eggs", 1), location=athens), 2026)
    (note,) = planned.findings
    assert (note.level, note.code, note.where) == ("note", "season-easter", "line 1")
    assert sentence(note) == (
        "'Easter' is that of the churches of GR, 12 Apr; write 'Western Easter' for 5 Apr"
    )
    assert shown(planned, 4, 12).scheme == "eggs"
    assert shown(planned, 4, 5).scheme == "warm"
    # In 2025 both fell on 20 April; elsewhere there is nothing to tell.
    assert not plan(season(("Easter", "eggs"), location=athens), 2025).findings
    assert not plan(season(("Easter", "eggs")), 2026).findings
    assert not plan(season(("Western Easter", "eggs"), location=athens), 2026).findings


def test_a_span_with_its_ends_exchanged_is_told(season):
    planned = plan(season(("12-26..12-01", "frost")), 2026)
    (warning,) = planned.findings
    assert (warning.level, warning.code, warning.where) == ("warning", "season-long-span", "line 1")
    assert sentence(warning) == (
        "'12-26..12-01' runs over New Year and lasts 341 evenings; write 12-01..12-26 if its ends"
        " are exchanged"
    )
    assert (warning.value, warning.limit) == (341, 300)
    # Half a year of winter, a whole year in order and a span of named years are meant.
    for meant in ("10-01..04-30", "01-01..12-31", "2026-02-01..2027-01-20"):
        assert not plan(season((meant, "frost")), 2026).findings


def test_the_far_north_is_told(season):
    planned = plan(season(location=TROMSO), 2026)
    assert codes(planned) == [
        "season-not-lit",
        "season-no-dusk",
        "season-midnight-sun",
    ]
    at_sunset = plan(season(location=TROMSO, on="sunset"), 2026)
    assert codes(at_sunset) == ["season-not-lit", "season-midnight-sun", "season-polar-night"]
    assert shown(planned, 6, 21).lit is None
    assert shown(planned, 12, 21).hours > 8
    fixed = plan(season(location=TROMSO, on="18:00"), 2026)
    assert codes(fixed) == []


def test_dusk_after_the_lights_go_off_is_told(season):
    planned = plan(season(off="21:00"), 2026)
    (finding,) = planned.findings
    assert finding.code == "season-not-lit"
    assert "'21:00' comes before 'dusk'" in sentence(finding)
    assert shown(planned, 6, 21).lit is None


@pytest.mark.parametrize("year", [1066, 1899, 2201])
def test_years_outside_the_calendars(season, year):
    with pytest.raises(EvenfallError, match=f"the year {year} is outside 1900 to 2200"):
        plan(season(), year)


@pytest.mark.parametrize("year", [1900, 2200])
def test_the_first_and_the_last_year(season, year):
    planned = plan(season(("Halloween", "spooky"), ("Easter", "eggs")), year)
    assert len(planned.evenings) == 365
    assert shown(planned, 10, 31).scheme == "spooky"


def test_a_span_on_the_last_day(season):
    planned = plan(season(("12-20..01-06", "frost")), 2026)
    assert sum(e.scheme == "frost" for e in planned.evenings) == 18
    assert planned.evenings[-1].date == date(2026, 12, 31)
    assert planned.evenings[-1].lit.off.year == 2026


def test_a_year_without_any_light_is_told_where_its_times_stand(house, write):
    path = write("evening: {on: dusk, off: sunset}\notherwise: warm.scheme.yaml\n")
    (finding,) = plan(load_season(path, house, year=2026), 2026).findings
    assert (finding.level, finding.code) == ("warning", "season-never-lit")
    assert finding.where == f"{path}:2:10"
    assert sentence(finding).startswith("no evening of 2026 is lit: 'sunset' comes before 'dusk'")


def test_a_year_without_any_scheme_is_told(season):
    (finding,) = plan(season(otherwise=None), 2026).findings
    assert (finding.code, finding.where) == ("season-never-lit", "year.season.yaml")
    assert sentence(finding).startswith("no evening of 2026 has a scheme")


def test_an_entry_without_any_light_is_told(season):
    summer = season(("12-24", "frost"), ("06-21", "spooky"), off="20:00")
    told = [f for f in plan(summer, 2026).findings if f.code == "season-never-lit"]
    assert [(f.where, sentence(f).split(";")[0]) for f in told] == [
        ("line 2", "'06-21' (spooky) is lit on none of its evenings of 2026")
    ]
