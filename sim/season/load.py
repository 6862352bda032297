"""Reading a season file: its model checks the shape, this file what its names mean."""

from __future__ import annotations

import os
import zoneinfo
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from effects import Scheme, load_scheme
from layouts.document import Document, check, read
from layouts.errors import EvenfallError, InputError, Problem
from layouts.names import did_you_mean, nearest
from layouts.records import House, Location
from sim.season.occasions import Occasions, UnknownCountry, occasions
from sim.season.records import Night, Season, Tariff
from sim.season.when import NotWhen, When, holidays_in, parse

if TYPE_CHECKING:
    from sim.season.schema import SeasonFile

#: The years a season can be planned for: those the calendars and the sun's formulas are good for.
FIRST_YEAR, LAST_YEAR = 1900, 2200


def check_year(year: int) -> None:
    """Raises EvenfallError for a year no season can be planned for."""
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise EvenfallError(f"the year {year} is outside {FIRST_YEAR} to {LAST_YEAR}; name another")


def load_season(path: str | os.PathLike[str], house: House, *, year: int) -> Season:
    """The season in the file at `path`, its holidays and schemes looked up for `year`.

    Raises InputError with every problem of the file and of the scheme files it names, and
    EvenfallError for a year outside 1900 to 2200.
    """
    from sim.season.schema import SeasonFile, moment

    check_year(year)
    document = read(path)
    file = check(document, SeasonFile)
    problems: list[Problem] = []
    location = _location(document, file, house, problems)
    known = _occasions(document, file, location, year, problems)
    nights = _nights(document, file, known, year, problems)
    schemes = _schemes(document, file, house, problems)
    if problems or location is None:
        raise InputError(problems)
    return Season(
        name=file.name or Path(document.file).name,
        file=document.file,
        location=location,
        on=moment(file.evening.on),
        off=moment(file.evening.off),
        otherwise=file.otherwise,
        nights=nights,
        tariff=Tariff(file.tariff.per_kwh, file.tariff.currency) if file.tariff else None,
        schemes=MappingProxyType(schemes),
    )


def season_schema() -> dict[str, Any]:
    """JSON Schema of a season file, for editors that complete keys."""
    from sim.season.schema import SeasonFile

    return SeasonFile.model_json_schema()


def _location(
    document: Document, file: SeasonFile, house: House, problems: list[Problem]
) -> Location | None:
    if file.location is None and house.location is None:
        what = f"no location, neither here nor in {house.file}"
        do = "add 'location: {latitude, longitude, timezone, country}'"
        problems.append(document.problem((), what, do))
        return None
    found = file.location.model_dump() if file.location else vars(house.location)
    try:
        zoneinfo.ZoneInfo(found["timezone"])
    except (zoneinfo.ZoneInfoNotFoundError, ValueError, OSError):
        what = f"unknown time zone '{found['timezone']}'"
        hint = did_you_mean(found["timezone"], sorted(zoneinfo.available_timezones()))
        problems.append(_of_location(document, file, house, "timezone", what, hint))
    return Location(**found)


def _of_location(
    document: Document, file: SeasonFile, house: House, part: str, what: str, do: str
) -> Problem:
    """A problem of the location, in the file that gives it."""
    source = document if file.location else read(house.file)
    return source.problem(("location", part), what, do)


def _occasions(
    document: Document,
    file: SeasonFile,
    location: Location | None,
    year: int,
    problems: list[Problem],
) -> Occasions:
    country = location.country if location else None
    try:
        return occasions(country, year)
    except UnknownCountry:
        what = f"unknown country '{country}'"
        do = "write its ISO 3166 code, such as US, or with a subdivision, such as GB-ENG"
        problems.append(document.problem(("location", "country"), what, do))
        return occasions(None, year)


def _nights(
    document: Document,
    file: SeasonFile,
    known: Occasions,
    year: int,
    problems: list[Problem],
) -> tuple[Night, ...]:
    nights: list[Night] = []
    first: dict[When, Night] = {}
    for number, entry in enumerate(file.nights):
        at = ("nights", number, "when")
        try:
            when = parse(entry.when)
        except NotWhen as wrong:
            problems.append(document.problem(at, wrong.what, wrong.do))
            continue
        for name in holidays_in(when):
            if known.of(name) is None:
                what = f"no holiday '{name}' is known for {year}"
                problems.append(document.problem(at, what, _holiday_hint(name, known)))
        night = Night(when, entry.when, entry.scheme, entry.before, entry.after, document.at(at)[0])
        twin = first.setdefault(when, night)
        if twin.scheme != night.scheme:
            what = f"'{night.text}' has two schemes, here and in line {twin.line}"
            problems.append(document.problem(at, what, "keep one"))
        nights.append(night)
    return tuple(nights)


def _holiday_hint(name: str, known: Occasions) -> str:
    near = nearest(name, known.names)
    return f"did you mean '{near}'?" if near else "write its date, such as 12-24"


def _schemes(
    document: Document, file: SeasonFile, house: House, problems: list[Problem]
) -> dict[str, Scheme]:
    """Every scheme file the season names, loaded once each."""
    named: dict[str, tuple[Any, ...]] = {}
    if file.otherwise is not None:
        named[file.otherwise] = ("otherwise",)
    for number, night in enumerate(file.nights):
        named.setdefault(night.scheme, ("nights", number, "scheme"))
    folder = Path(document.file).parent
    schemes = {}
    for name, at in named.items():
        path = folder / name
        if not path.resolve().is_relative_to(folder.resolve()):
            what = f"the scheme '{name}' lies outside the season's folder"
            problems.append(document.problem(at, what, "keep it beside the season file"))
        elif not path.is_file():
            there = [str(found.relative_to(folder)) for found in folder.rglob("*.scheme.yaml")]
            hint = did_you_mean(name, sorted(there)) if there else "write a scheme file"
            problems.append(document.problem(at, f"no scheme file '{name}'", hint))
        else:
            try:
                schemes[name] = load_scheme(path, house)
            except InputError as error:
                problems.extend(error.problems)
    return schemes
