"""The model of the season file: what may be written, with what meaning."""

from __future__ import annotations

import re
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from layouts.quantities import OneLine
from layouts.schema import LocationEntry, StrictModel
from sim.season.records import Moment

_CLOCK = re.compile(r"([01]?\d|2[0-3]):([0-5]\d)")
_SUN = re.compile(r"(sunset|dusk|dawn|sunrise)(?:\s*([+\-−])\s*(\d{1,2}):([0-5]\d))?")
_MOST_OFFSET_MIN = 6 * 60


def moment(text: Any) -> Moment:
    """`dusk`, `sunset-0:30`, `sunrise+1:00` or `22:45`; raises ValueError."""
    plain = str(text).strip().casefold()
    if found := _CLOCK.fullmatch(plain):
        return Moment("clock", 60 * int(found[1]) + int(found[2]), plain)
    if found := _SUN.fullmatch(plain):
        minutes = 60 * int(found[3] or 0) + int(found[4] or 0)
        if minutes > _MOST_OFFSET_MIN:
            raise ValueError(f"'{text}' is more than 6:00 from {found[1]}; write a clock time")
        sign = 1 if found[2] == "+" else -1
        return Moment(found[1], sign * minutes, plain)  # type: ignore[arg-type]
    raise ValueError(f"'{text}' is no time; write dusk, sunset-0:30, sunrise+1:00 or 22:45")


def _moment_text(text: Any) -> Any:
    moment(text)
    return text


_MOMENTS = {"examples": ["dusk", "sunset-0:30", "16:30", "22:45", "sunrise"]}
MomentText = Annotated[str, BeforeValidator(_moment_text), Field(json_schema_extra=_MOMENTS)]
_Days = Annotated[int, Field(ge=0, le=60)]


class TariffEntry(StrictModel):
    """What electricity costs."""

    per_kwh: Annotated[float, Field(ge=0)]
    currency: Annotated[OneLine, Field(min_length=1, max_length=8)] = Field(
        description="how sums are marked, such as USD or €"
    )


class EveningEntry(StrictModel):
    """From when to when the lights are on; a clock time before 12:00 is the morning after."""

    on: MomentText = "dusk"
    off: MomentText = "23:00"


class NightEntry(StrictModel):
    """One or more evenings and their scheme."""

    when: str = Field(
        min_length=1,
        description="a holiday (Halloween, Easter + 1), a date (12-24, 2026-12-24), a rule"
        " (first Saturday of December, every Friday) or a span (12-01..12-26)",
    )
    scheme: str = Field(min_length=1, description="a scheme file, from this file's folder")
    before: _Days = Field(0, description="evenings before it that show the scheme too")
    after: _Days = Field(0, description="evenings after it that show the scheme too")


class SeasonFile(StrictModel):
    """A season file."""

    format: Literal["evenfall-season/1"]
    name: OneLine | None = None
    location: LocationEntry | None = Field(None, description="left out: the house's own")
    tariff: TariffEntry | None = None
    evening: EveningEntry = EveningEntry()
    otherwise: str | None = Field(
        None, description="the scheme of every evening without an entry; left out: dark"
    )
    nights: list[NightEntry] = Field([], description="among equals, the later entry counts")
