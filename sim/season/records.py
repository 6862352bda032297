"""A season as loaded: what shines when, and what a kilowatt-hour costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
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
