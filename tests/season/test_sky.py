"""Sunset, dusk, dawn, sunrise: published times, the far north, changes of the clocks."""

import json
from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from layouts.records import Location
from sim.season.schema import moment
from sim.season.sky import lit, sky

DENVER = Location(39.742476, -105.1786, "America/Denver", "US")
OSLO = Location(59.91, 10.75, "Europe/Oslo", "NO")
TROMSO = Location(69.65, 18.96, "Europe/Oslo", "NO")
SVALBARD = Location(78.22, 15.65, "Arctic/Longyearbyen", "NO")
LONDON_IN_PARIS_TIME = Location(51.5, -0.12, "Europe/Paris", "FR")


def local(location, evening, on="dusk", off="sunrise"):
    found, _ = lit(location, evening, moment(on), moment(off))
    return found


def year(number=2026):
    return [date(number, 1, 1) + timedelta(days=n) for n in range(365)]


# Times by another program: see the origin in the file and remake_sun.py beside it.
SPA = json.loads((Path(__file__).parents[1] / "reference" / "sun.json").read_text("utf-8"))


def off_by_s(row, event):
    """How far the event of the night that begins at the place's mean noon is off [s]."""
    latitude, longitude = SPA["places"][row["place"]]
    # A zone by the sun, so that its local day is the one the table means.
    zone = f"Etc/GMT{-round(longitude / 15):+d}"
    above = sky(Location(latitude, longitude, zone, "US"), date.fromisoformat(row["evening"]))
    published = datetime.fromisoformat(row[event])
    return abs((getattr(above, event) - published).total_seconds())


@pytest.mark.parametrize("place", SPA["places"])
def test_the_sun_agrees_with_the_solar_position_algorithm(place):
    # The formulas are good to 0.01° (Meeus, ch. 25). Towards the poles the sun crosses the horizon
    # at a slant and so much takes longer; 32 s was the most seen there.
    within_s = 10 if abs(SPA["places"][place][0]) < 60 else 40
    rows = [row for row in SPA["rows"] if row["place"] == place]
    checked = [
        (off_by_s(row, event), event, row["evening"])
        for row in rows
        for event in SPA["degrees"]
        if row[event] is not None
    ]
    assert len(checked) >= 60
    assert max(checked)[0] < within_s, max(checked)


def test_where_the_table_has_no_event_the_sky_says_so():
    """In its far north, that is: no dusk in May, no sunset in June nor in the polar night."""
    gaps = {}
    for row in SPA["rows"]:
        if row["place"] == "Tromsø":
            missing = frozenset(event for event in SPA["degrees"] if row[event] is None)
            gaps.setdefault(missing, set()).add(sky(TROMSO, date.fromisoformat(row["evening"])).gap)
    assert gaps == {
        frozenset(): {None},
        frozenset({"dusk", "dawn"}): {"no-dusk"},
        frozenset({"sunset", "sunrise"}): {"polar-night"},
        frozenset(SPA["degrees"]): {"midnight-sun"},
    }


# I. Reda, A. Andreas, Solar Position Algorithm, NREL/TP-560-34302, and the reference program's
# output: sunrise 17 October 2003 06:12:43, sunset (of the UT day, so the local evening of the
# 16th) 17:20:19, UTC−7, for −0.8333°. The place lies 1830 m high, but the horizon is its own.
def test_nrel_sunrise_and_sunset():
    sunset = sky(DENVER, date(2003, 10, 16)).sunset
    sunrise = sky(DENVER, date(2003, 10, 16)).sunrise
    assert abs(sunset - datetime(2003, 10, 17, 0, 20, 19, tzinfo=UTC)) < timedelta(seconds=10)
    assert abs(sunrise - datetime(2003, 10, 17, 13, 12, 43, tzinfo=UTC)) < timedelta(seconds=10)


def test_local_time_of_dusk():
    # The table has London's dusk of that day at 16:33:43.9 UTC; Paris is an hour ahead in winter.
    found = local(LONDON_IN_PARIS_TIME, date(2026, 12, 21))
    assert found.on.tzinfo.key == "Europe/Paris"
    assert found.on.strftime("%H:%M") == "17:33"


def test_dusk_after_midnight_belongs_to_the_evening_before():
    found = local(OSLO, date(2026, 6, 9))
    assert found.on.date() == date(2026, 6, 10)
    assert found.on.hour == 0
    assert local(OSLO, date(2026, 6, 9), off="23:00") is None


def test_offsets():
    plain, early = (local(DENVER, date(2026, 11, 1), on) for on in ("sunset", "sunset-0:30"))
    assert plain.on - early.on == timedelta(minutes=30)
    late = local(DENVER, date(2026, 11, 1), off="sunrise+1:15")
    assert late.off - local(DENVER, date(2026, 11, 1)).off == timedelta(hours=1, minutes=15)


def test_midnight_sun_leaves_the_lights_off():
    assert sky(TROMSO, date(2026, 6, 21)).gap == "midnight-sun"
    assert local(TROMSO, date(2026, 6, 21)) is None
    assert local(TROMSO, date(2026, 6, 21), "sunset", "01:30") is None
    assert local(TROMSO, date(2026, 6, 21), "21:00", "23:00").hours == 2


def test_a_night_without_dusk_takes_solar_midnight():
    above = sky(TROMSO, date(2026, 5, 5))
    assert above.gap == "no-dusk"
    # 18.96° E: the sun is lowest about 22:44 UTC, less the equation of time (+3.4 min in May).
    assert abs(above.dusk - datetime(2026, 5, 5, 22, 41, tzinfo=UTC)) < timedelta(minutes=2)
    assert above.dusk == above.dawn
    assert above.sunset < above.dusk < above.sunrise


def test_polar_night_is_lit_from_noon():
    above = sky(SVALBARD, date(2026, 12, 21))
    assert above.gap == "no-daylight"
    assert local(SVALBARD, date(2026, 12, 21), "dusk", "22:00").hours == pytest.approx(10, abs=0.2)
    twilight = sky(TROMSO, date(2026, 12, 21))
    assert twilight.gap == "polar-night"
    assert twilight.sunset < twilight.dusk


@pytest.mark.parametrize("location", [OSLO, TROMSO])
def test_no_jump_from_night_to_night(location):
    """Taking the limits keeps dusk steady where a plain fallback would jump by hours."""
    dusks = [sky(location, day).dusk for day in year()]
    steps = [other - one - timedelta(days=1) for one, other in pairwise(dusks) if one and other]
    assert max(map(abs, steps)) < timedelta(hours=1)


def test_hours_count_real_time_when_the_clocks_change():
    # 15 U.S.C. 260a: forward on the second Sunday of March, back on the first of November, 02:00.
    assert local(DENVER, date(2026, 10, 31), "23:00", "06:00").hours == 8
    assert local(DENVER, date(2026, 3, 7), "23:00", "06:00").hours == 6
    assert local(DENVER, date(2026, 5, 7), "23:00", "06:00").hours == 7


def test_clock_times_before_noon_are_of_the_morning_after():
    found = local(DENVER, date(2026, 2, 1), "16:30", "00:30")
    assert (found.on.day, found.off.day, found.hours) == (1, 2, 8)
    assert local(DENVER, date(2026, 2, 1), "23:00", "22:00") is None


def test_noon_is_the_first_minute_of_an_evening():
    found = local(DENVER, date(2026, 2, 1), "12:00", "11:59")
    assert (found.on.day, found.on.hour, found.off.day) == (1, 12, 2)
    assert found.hours == pytest.approx(24 - 1 / 60)
    # Noon to noon would be a light that never comes on, or never goes off.
    assert local(DENVER, date(2026, 2, 1), "12:00", "12:00") is None
    assert local(DENVER, date(2026, 2, 1), "11:59", "12:00") is None
    assert moment("12:00").clock_minutes == 720
    assert moment("11:59").clock_minutes == 719 + 1440
    assert moment("12:00").never_after(moment("11:59"))
    assert moment("12:00").never_after(moment("12:00"))
    assert not moment("11:59").never_after(moment("12:00"))


def test_an_offset_does_not_leave_its_evening():
    # The sun of a December evening in the far north is taken at noon: earlier is the day before.
    early = local(TROMSO, date(2026, 12, 21), "sunset-6:00", "sunrise+6:00")
    assert (early.on.day, early.on.hour, early.on.minute) == (21, 12, 0)
    assert (early.off.day, early.off.hour, early.off.minute) == (22, 12, 0)


places = st.builds(
    Location,
    st.floats(-85, 85),
    st.floats(-179, 179),
    st.sampled_from(["UTC", "America/Denver", "Asia/Kolkata", "Pacific/Apia"]),
    st.just("US"),
)


@settings(max_examples=150, deadline=None)
@given(places, st.dates(date(1900, 1, 2), date(2200, 12, 30)))
def test_the_sun_keeps_its_order_everywhere(location, evening):
    above = sky(location, evening)
    if above.gap == "midnight-sun":
        assert above.sunset is None
    else:
        assert above.sunset <= above.dusk <= above.dawn <= above.sunrise
        assert above.sunrise - above.sunset <= timedelta(hours=24, minutes=1)


@settings(max_examples=150, deadline=None)
@given(places, st.dates(date(1900, 1, 2), date(2200, 12, 30)))
def test_evenings_never_overlap(location, evening):
    first = local(location, evening, "sunset-6:00", "sunrise+6:00")
    second = local(location, evening + timedelta(days=1), "sunset-6:00", "sunrise+6:00")
    if first and second:
        assert first.off <= second.on
