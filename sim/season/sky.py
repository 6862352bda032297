"""Where the sun is of an evening, and so when the lights go on and off.

An evening runs from noon to noon. Sunset, dusk, dawn and sunrise come from `astral`: the sun's
centre 0.833° and 6° (civil twilight) below the horizon, at the horizon's own height. Towards the
poles some of them do not happen. Then each is taken where it would go as the day or night shrinks
to nothing: where it never gets dark, dusk and dawn are the darkest moment, solar midnight; where
the sun never rises, sunset and sunrise are noon. Where it never sets there is no sunset to wait
for, and lights that wait for it stay off.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone
from functools import partial
from typing import Any, Literal
from zoneinfo import ZoneInfo

from layouts.records import Location
from sim.season.records import Moment

#: Degrees of the sun's centre at sunset (refraction and its radius) and at civil dusk.
_SET_DEG, _DUSK_DEG = -0.833, -6.0

#: What the sun leaves out of an evening.
Gap = Literal["midnight-sun", "no-dusk", "polar-night", "no-daylight"]


@dataclass(frozen=True)
class Sky:
    """One evening's sun, noon to noon, in UTC."""

    sunset: datetime | None  # None: it does not set
    dusk: datetime | None
    dawn: datetime | None
    sunrise: datetime | None
    gap: Gap | None = None


@dataclass(frozen=True)
class Lit:
    """When the lights are on, in local time."""

    on: datetime
    off: datetime

    @property
    def hours(self) -> float:
        """[h], of real time: a change of the clocks does not lengthen it."""
        return (self.off.astimezone(UTC) - self.on.astimezone(UTC)).total_seconds() / 3600


def sky(location: Location, evening: date) -> Sky:
    """The sun of the night that begins on `evening`."""
    from astral import Observer
    from astral import sun as astral

    # Height above the sea is no height above the horizon: it stays 0.
    observer = Observer(location.latitude, location.longitude, 0)
    noon, next_noon = (_noon(location, evening + timedelta(days=n)) for n in (0, 1))
    midnight = noon + (next_noon - noon) / 2
    # Between its extremes the sun passes a height, or it stays on the side its mean is on.
    extremes = (astral.elevation(observer, at, with_refraction=False) for at in (noon, midnight))
    mean_deg = sum(extremes) / 2
    sunset, dusk, dawn, sunrise = (
        _within(partial(event, observer), noon, next_noon)
        for event in (astral.sunset, astral.dusk, astral.dawn, astral.sunrise)
    )
    if sunset is None and mean_deg > _SET_DEG:
        return Sky(None, None, None, None, "midnight-sun")
    if dusk is None and mean_deg < _DUSK_DEG:
        return Sky(noon, noon, next_noon, next_noon, "no-daylight")
    gap: Gap | None = None
    if sunset is None:
        gap = "polar-night"
    elif dusk is None or dawn is None:
        gap = "no-dusk"
    return Sky(sunset or noon, dusk or midnight, dawn or midnight, sunrise or next_noon, gap)


def lit(location: Location, evening: date, on: Moment, off: Moment) -> tuple[Lit | None, Sky]:
    """When the lights of `evening` are on (None: not at all), and its sky."""
    above = sky(location, evening)
    begins, ends = (_time(location, evening, moment, above) for moment in (on, off))
    if begins is None or ends is None or ends <= begins:
        return None, above
    return Lit(begins, ends), above


def _time(location: Location, evening: date, moment: Moment, above: Sky) -> datetime | None:
    zone = ZoneInfo(location.timezone)
    noon = datetime(evening.year, evening.month, evening.day, 12, tzinfo=zone)
    if moment.base == "clock":
        # A clock time before noon is the morning after.
        day = evening if moment.minutes >= 12 * 60 else evening + timedelta(days=1)
        hour, minute = divmod(moment.minutes, 60)
        return datetime(day.year, day.month, day.day, hour, minute, tzinfo=zone)
    found: datetime | None = getattr(above, moment.base)
    if found is None:
        return None
    at = found + timedelta(minutes=moment.minutes)
    # Adding a day to local time keeps the clock's reading across a change of the clocks.
    return min(max(at, noon), noon + timedelta(days=1)).astimezone(zone)


def _noon(location: Location, day: date) -> datetime:
    """Noon by the sun in the middle of the local day `day`, in UTC."""
    from astral import Observer
    from astral.sun import noon

    observer = Observer(location.latitude, location.longitude, 0)
    clock_noon = datetime(day.year, day.month, day.day, 12, tzinfo=ZoneInfo(location.timezone))
    near = [noon(observer, (clock_noon + timedelta(days=n)).date(), tzinfo=UTC) for n in (-1, 0, 1)]
    return min(near, key=lambda found: abs(found - clock_noon))


def _within(event: Callable[..., Any], noon: datetime, next_noon: datetime) -> datetime | None:
    """The time of `event` in the night between, None where it does not happen."""
    # `astral` looks for an event on a calendar date and can miss one near the date's edges: so
    # it is asked in a zone whose date begins at this noon and holds the whole night.
    day = noon.replace(hour=0, minute=0, second=0, microsecond=0)
    zone = timezone(day - noon)
    try:
        found: datetime = event(date=noon.astimezone(zone).date(), tzinfo=zone)
    except ValueError:
        return None
    return found.astimezone(UTC) if noon <= found < next_noon else None
