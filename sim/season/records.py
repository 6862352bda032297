"""A season as loaded, and its evenings: what shines when, and what a kilowatt-hour costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime
from typing import TYPE_CHECKING, Literal

from layouts.records import Location
from sim.season.when import When

if TYPE_CHECKING:
    from effects import Scheme


@dataclass(frozen=True)
class Moment:
    """A time of the evening: a clock time, or minutes from where the sun is."""

    base: Literal["clock", "sunset", "dusk", "dawn", "sunrise"]
    minutes: int  # after midnight for the clock, else from the base, negative before it
    text: str = ""

    @property
    def clock_minutes(self) -> int:
        """A clock time in minutes of its evening: before 12:00 is the morning after."""
        return self.minutes + (24 * 60 if self.minutes < 12 * 60 else 0)

    def never_after(self, on: Moment) -> bool:
        """Whether it comes no later than `on` by the clock alone, whatever the sun does."""
        return on.base == self.base == "clock" and self.clock_minutes <= on.clock_minutes


@dataclass(frozen=True)
class Tariff:
    """What electricity costs."""

    per_kwh: float
    currency: str


@dataclass(frozen=True)
class Night:
    """One entry of the season's nights."""

    when: When
    text: str  # of `when`, as written
    scheme: str  # as written
    before: int  # evenings before each day of `when`
    after: int
    line: int  # of the file


@dataclass(frozen=True, eq=False)
class Season:
    """Which scheme shines on which evening. `schemes` holds every file named, by that name."""

    name: str
    file: str
    location: Location
    on: Moment
    off: Moment
    otherwise: str | None  # None: evenings without an entry stay dark
    nights: tuple[Night, ...]
    tariff: Tariff | None
    schemes: Mapping[str, Scheme]
    evening_at: str = "evening"  # where its times are written, file:line:column


#: What the sun leaves out of an evening.
Gap = Literal["midnight-sun", "no-dusk", "polar-night", "no-daylight"]


@dataclass(frozen=True)
class Lit:
    """When the lights are on, in local time."""

    on: datetime
    off: datetime

    @property
    def hours(self) -> float:
        """[h], of real time: a change of the clocks does not lengthen it."""
        return (self.off.astimezone(UTC) - self.on.astimezone(UTC)).total_seconds() / 3600


@dataclass(frozen=True)
class Evening:
    """One evening of the year."""

    date: date
    scheme: str | None  # as named in the season; None: dark
    why: str  # the entry's `when`, "otherwise" or ""
    lit: Lit | None  # None: not lit
    gap: Gap | None  # what the sun leaves out

    @property
    def hours(self) -> float:
        """[h] lit."""
        return self.lit.hours if self.lit else 0.0
