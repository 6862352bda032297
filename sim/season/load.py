"""Reading a season file: its model checks the shape, this file what its names mean."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Any

from effects import Scheme, load_scheme
from layouts.errors import InputError, Problem
from layouts.file_names import SCHEMES
from layouts.files.document import Document, check, read
from layouts.files.names import did_you_mean, nearest
from layouts.records import House, Location
from sim.season.days import check_year
from sim.season.occasions import Occasions, UnknownCountry, is_general, occasions
from sim.season.records import Night, Season, Tariff
from sim.season.when import NotWhen, When, holidays_in, parse, weekday_of

if TYPE_CHECKING:
    from sim.season.schema import NightEntry

At = tuple[str | int, ...]

SEASON_FORMAT = "evenfall-season/1"


def load_season(path: str | os.PathLike[str], house: House, *, year: int) -> Season:
    """The season in the file at `path`, its holidays and schemes looked up for `year`.

    Raises InputError with every problem of the file and of the scheme files it names, and
    EvenfallError for a year outside 1900 to 2200.
    """
    from sim.season.schema import SeasonFile, moment

    check_year(year)
    document = read(path)
    try:
        file = check(document, SeasonFile)
        problems: list[Problem] = []
    except InputError as error:
        if not isinstance(document.data, dict) or document.data.get("format") != SEASON_FORMAT:
            raise
        file, problems = None, list(error.problems)
    problems += _day_problems(document, _occasions(document, house, year, problems), year)
    problems += _clock_problems(document)
    schemes = _schemes(document, house, problems)
    location = Location(**file.location.model_dump()) if file and file.location else house.location
    if "location" in document.data and document.data["location"] is None:
        do = "add latitude, longitude, timezone and country, or leave it out to use the house's"
        problems.append(document.problem(("location",), "'location' is empty", do, key=True))
    elif location is None and "location" not in document.data:
        what = f"no location, neither here nor in {house.file}"
        do = "add 'location: {latitude, longitude, timezone, country}'"
        problems.append(document.problem((), what, do))
    if problems or file is None or location is None:
        raise InputError(problems)
    return Season(
        name=file.name or Path(document.file).name,
        file=document.file,
        location=location,
        on=moment(file.evening.on),
        off=moment(file.evening.off),
        otherwise=file.otherwise,
        nights=tuple(_night(document, number, entry) for number, entry in enumerate(file.nights)),
        tariff=Tariff(file.tariff.per_kwh, file.tariff.currency) if file.tariff else None,
        schemes=MappingProxyType(schemes),
        evening_at=":".join(map(str, (document.file, *document.at(("evening",))))),
    )


def season_schema() -> dict[str, Any]:
    """JSON Schema of a season file, for editors that complete keys."""
    from sim.season.schema import SeasonFile

    return SeasonFile.model_json_schema()


def _night(document: Document, number: int, entry: NightEntry) -> Night:
    line, _ = document.at(("nights", number, "when"))
    when = parse(entry.when)
    return Night(when, entry.when, entry.scheme, entry.before, entry.after, line)


def _occasions(document: Document, house: House, year: int, problems: list[Problem]) -> Occasions:
    """What is known of the country that the season, or else the house, names."""
    own = document.data.get("location")
    source: Document | None = None
    if isinstance(own, dict):
        source, country = document, own.get("country")
    else:
        country = house.location.country if house.location else None
    try:
        return occasions(country if isinstance(country, str) else None, year)
    except UnknownCountry:
        what = f"unknown country '{country}'"
        do = "write its ISO 3166 code, such as US, or with a subdivision, such as GB-ENG"
        place = ("location", "country")
        problem = (source or read(house.file)).problem(place, what, do)
        if not any(_same_place(problem, told) for told in problems):  # how it is written, say
            problems.append(problem)
        return occasions(None, year)


def _same_place(one: Problem, other: Problem) -> bool:
    return (one.file, one.line, one.column) == (other.file, other.line, other.column)


def _texts(document: Document, key: str) -> Iterator[tuple[At, str, Mapping[str, Any]]]:
    """The texts under `key` of every night: where, what, and the night as written."""
    nights = document.data.get("nights")
    for number, night in enumerate(nights if isinstance(nights, list) else ()):
        if isinstance(night, dict) and isinstance(night.get(key), str):
            yield ("nights", number, key), night[key], night


def _day_problems(document: Document, known: Occasions, year: int) -> Iterator[Problem]:
    """What cannot be read or is not known among the days, and days with two schemes."""
    first: dict[When, tuple[At, Any]] = {}
    for at, text, night in _texts(document, "when"):
        try:
            when = parse(text)
        except NotWhen as wrong:
            yield document.problem(at, wrong.what, wrong.do)
            continue
        for name in holidays_in(when):
            if known.of(name) is None:
                what = f"no holiday '{name}' is known for {year}"
                yield document.problem(at, what, _holiday_hint(name, known))
        twin_at, twin_scheme = first.setdefault(when, (at, night.get("scheme")))
        if twin_scheme != night.get("scheme"):
            line, _ = document.at(twin_at)
            yield document.problem(
                at, f"'{text}' has two schemes, here and in line {line}", "keep one"
            )


def _clock_problems(document: Document) -> Iterator[Problem]:
    """Fixed times that leave no evening any light; times that cannot be read are told elsewhere."""
    from sim.season.schema import EveningEntry, moment

    written = document.data.get("evening")
    evening = {**EveningEntry().model_dump(), **(written if isinstance(written, dict) else {})}
    try:
        on, off = moment(evening["on"]), moment(evening["off"])
    except ValueError:
        return
    if off.never_after(on):
        what = f"off at '{off.text}' is not after on at '{on.text}': no evening is ever lit"
        do = "write an earlier 'on' or a later 'off'; a time before 12:00 is the morning after"
        yield document.problem(("evening", "off"), what, do)


def _holiday_hint(name: str, known: Occasions) -> str:
    if is_general(name):
        return "its calendar does not reach that year; write the date, such as 11-04"
    if day := weekday_of(name):
        return f"did you mean 'every {day}'?"
    near = nearest(name, known.names)
    return f"did you mean '{near}'?" if near else "write its date, such as 12-24"


def _schemes(document: Document, house: House, problems: list[Problem]) -> dict[str, Scheme]:
    """Every scheme file the season names, loaded once each."""
    named: dict[str, At] = {}
    if isinstance(document.data.get("otherwise"), str):
        named[document.data["otherwise"]] = ("otherwise",)
    for at, name, _ in _texts(document, "scheme"):
        named.setdefault(name, at)
    folder = Path(document.file).parent
    schemes = {}
    for name, at in named.items():
        path = folder / name
        if not path.resolve().is_relative_to(folder.resolve()):
            what = f"the scheme '{name}' lies outside the season's folder"
            problems.append(document.problem(at, what, "keep it beside the season file"))
        elif not os.path.isfile(path):  # a name too long is none
            there = [str(found.relative_to(folder)) for found in folder.rglob(SCHEMES)]
            hint = did_you_mean(name, sorted(there)) if there else "write a scheme file"
            problems.append(document.problem(at, f"no scheme file '{name}'", hint))
        else:
            try:
                schemes[name] = load_scheme(path, house)
            except InputError as error:
                problems.extend(error.problems)
    return schemes
