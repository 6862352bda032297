"""Where the sun is of an evening, and so when the lights go on and off.

An evening runs from noon to noon. Sunset, dusk, dawn and sunrise are when the sun's centre passes
0.833° and 6° (civil twilight) below the horizon, at the horizon's own height. Towards the poles
some of them do not happen. Then each is taken where it would go as the day or night shrinks to
nothing: where it never gets dark, dusk and dawn are the darkest moment, solar midnight; where the
sun never rises, sunset and sunrise are noon. Where it never sets there is no sunset to wait for,
and lights that wait for it stay off.

The sun's declination and the equation of time are those of `astral` (J. Meeus, Astronomical
Algorithms, as NOAA's solar calculator has them). Its own sunset and dusk are not used: they add
refraction to these angles, which hold it already, and look for events on calendar dates.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from layouts.records import Location
from sim.season.records import Gap, Lit, Moment

#: Degrees of the sun's centre at sunset, refraction (34') and its radius (16') counted, and at
#: civil dusk. These hold for the sun as it would stand without air: nothing is added to them.
_SET_DEG, _DUSK_DEG = -0.833, -6.0
_DAY = timedelta(days=1)
_EPOCH, _CENTURY = datetime(2000, 1, 1, 12, tzinfo=UTC), 36525 * _DAY
#: Times are found by repeating, for the sun moves on meanwhile; near the poles that takes longer.
#: The step still to come is about this one's square over the one before.
_ROUNDS, _CLOSE_S = 20, 0.1


@dataclass(frozen=True)
class Sky:
    """One evening's sun, noon to noon, in UTC."""

    sunset: datetime | None  # None: it does not set
    dusk: datetime | None
    dawn: datetime | None
    sunrise: datetime | None
    gap: Gap | None = None


def sky(location: Location, evening: date) -> Sky:
    """The sun of the night that begins on `evening`."""
    (noon, mean), (next_noon, next_mean) = (_noon(location, evening + n * _DAY) for n in (0, 1))
    midnight = noon + (next_noon - noon) / 2
    sunset, set_side = _passes(location.latitude, mean, noon, midnight, _SET_DEG)
    dusk, dusk_side = _passes(location.latitude, mean, noon, midnight, _DUSK_DEG)
    dawn, dawn_side = _passes(location.latitude, next_mean, next_noon, midnight, _DUSK_DEG)
    sunrise, rise_side = _passes(location.latitude, next_mean, next_noon, midnight, _SET_DEG)
    if set_side > 0 and rise_side > 0:
        return Sky(None, None, None, None, "midnight-sun")
    if dusk_side < 0 and dawn_side < 0:
        return Sky(noon, noon, next_noon, next_noon, "no-daylight")
    gap: Gap | None = None
    if set_side < 0:
        gap = "polar-night"
    elif dusk_side > 0 or dawn_side > 0:
        gap = "no-dusk"
    return Sky(
        min(max(sunset, noon), midnight),
        min(max(dusk, sunset, noon), midnight),
        max(min(dawn, sunrise, next_noon), midnight),
        max(min(sunrise, next_noon), midnight),
        gap,
    )


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


def _noon(location: Location, day: date) -> tuple[datetime, datetime]:
    """Noon in the middle of the local day `day`, by the sun and by the mean sun, in UTC."""
    clock_noon = datetime(day.year, day.month, day.day, 12, tzinfo=ZoneInfo(location.timezone))
    mean = datetime(day.year, day.month, day.day, 12, tzinfo=UTC) - location.longitude / 360 * _DAY
    mean += round((clock_noon - mean) / _DAY) * _DAY
    return mean - timedelta(minutes=_equation_of_time_min(mean)), mean


def _passes(
    latitude: float, mean: datetime, noon: datetime, midnight: datetime, degrees: float
) -> tuple[datetime, int]:
    """When the sun passes `degrees` between this noon and midnight, whichever comes first, and 0.

    Where it stays above all that time, midnight and 1; where it stays below, noon and −1. `mean` is
    noon by the mean sun.
    """
    sign = 1 if midnight > noon else -1
    at, side, before_s = noon + sign * _DAY / 4, 0, 0.0
    for _ in range(_ROUNDS):
        angle_deg, side = _hour_angle_deg(latitude, _declination_deg(at), degrees)
        minutes = sign * 4 * angle_deg - _equation_of_time_min(at)
        found = mean + timedelta(minutes=minutes)
        step_s = abs((found - at).total_seconds())
        at = found
        if step_s**2 <= _CLOSE_S * before_s or step_s < _CLOSE_S:
            break
        before_s = step_s
    return (at, midnight, noon)[side], side


def _hour_angle_deg(latitude: float, declination: float, degrees: float) -> tuple[float, int]:
    """From noon to where the sun stands `degrees` high: 0..180°, and on which side it stays."""
    north, sun = math.radians(latitude), math.radians(declination)
    # At a pole itself there is no hour angle; the sun then stays on one side all day.
    across = max(math.cos(north) * math.cos(sun), 1e-9)
    cosine = (math.sin(math.radians(degrees)) - math.sin(north) * math.sin(sun)) / across
    if cosine >= 1:
        return 0.0, -1
    if cosine <= -1:
        return 180.0, 1
    return math.degrees(math.acos(cosine)), 0


def _declination_deg(at: datetime) -> float:
    from astral.sun import sun_declination

    return float(sun_declination(_centuries(at)))


def _equation_of_time_min(at: datetime) -> float:
    from astral.sun import eq_of_time

    return float(eq_of_time(_centuries(at)))


def _centuries(at: datetime) -> float:
    """Julian centuries since noon of 1 January 2000, UTC."""
    return (at - _EPOCH) / _CENTURY
