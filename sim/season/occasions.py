"""The days people keep: from their names to dates.

A country's own holidays come from the `holidays` library, in its own language and in English, all
categories the library has for it, without the days off in lieu. What it lacks is in
`occasions.yaml`. Easter and the days counted from it follow one reckoning in one country.
"""

from __future__ import annotations

import re
import warnings
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from layouts.files.document import read
from sim.season.feasts import advent, easter, orthodox_easter

#: Countries that keep the Julian reckoning of Easter though their calendar here has no day of it
#: [from memory].
_JULIAN_TOO = ("BY", "RU")
#: A year in which the two Easters are five weeks apart, so that no day of one is one of the other.
_TELLING_YEAR = 2024
_IN_BRACKETS = re.compile(r"\s*\([^()]*\)$")


class UnknownCountry(ValueError):
    """The library has no holidays of that country."""


@dataclass(frozen=True)
class Occasions:
    """Named days in and around one year; `dates` is keyed by `key(name)`."""

    names: tuple[str, ...]  # as written, for hints
    dates: Mapping[str, tuple[date, ...]]
    estimated: frozenset[tuple[str, date]]  # (key, date) that a moon sighting may still move
    julian: bool = False  # Easter and the days from it are those of the Julian reckoning

    def of(self, name: str) -> tuple[date, ...] | None:
        """The dates of `name`, or None where nothing is known by that name."""
        return self.dates.get(key(name))

    def other_easter(self, name: str) -> tuple[str, tuple[date, ...]] | None:
        """For a day counted from Easter in a country of the Julian reckoning: the western one."""
        if not self.julian or key(name) not in _from_easter():
            return None
        western = f"Western {name}"
        return western, self.of(western) or ()


def is_general(name: str) -> bool:
    """Whether `name` is an occasion of every country, though its calendar may lack a year."""
    return key(name) in {key(row["name"]) for row in _rows()}


def key(name: str) -> str:
    """What makes two spellings of a holiday the same: case, apostrophes, 'St', a final 'Day'."""
    folded = " ".join(name.replace("’", "'").casefold().split())
    folded = re.sub(r"\bst\.? ", "saint ", folded)
    return re.sub(r" day$", "", folded)


@cache
def occasions(country: str | None, year: int) -> Occasions:
    """Every occasion known in `country` ("US", "GB-ENG", None: the general ones only).

    Dates of the years before and after are included, so that days around an occasion can cross
    New Year. Raises UnknownCountry.
    """
    years = range(year - 1, year + 2)
    dates: dict[str, tuple[date, ...]] = {}
    names: list[str] = []
    estimated: set[tuple[str, date]] = set()
    own = _library(country, years) if country else []
    julian = bool(country) and _keeps_julian(country or "")
    before, after = _general(years, country, julian)
    for entries in (before, own, after):
        known_before = set(dates)
        for name, day, is_estimate in entries:
            folded = key(name)
            if folded in known_before:
                continue  # the country's own day counts, save where the evening before is meant
            if folded not in dates:
                names.append(name)
            dates[folded] = (*dates.get(folded, ()), day)
            if is_estimate:
                estimated.add((folded, day))
    in_order = {name: tuple(sorted(set(days))) for name, days in dates.items()}
    return Occasions(tuple(names), MappingProxyType(in_order), frozenset(estimated), julian)


Entry = tuple[str, date, bool]


def _general(
    years: Iterable[int], country: str | None, julian: bool
) -> tuple[list[Entry], list[Entry]]:
    """The evenings of the table's rows: those that count before the country's own, and after.

    Before them come feasts of the evening before, and in a country of the Julian reckoning all days
    counted from Easter: a library that lists both kinds by one name shall not mix them.
    """
    before: list[Entry] = []
    after: list[Entry] = []
    for row in _rows():
        if "in" in row and (country or "").partition("-")[0] not in row["in"]:
            continue
        names = {row["name"]: julian}
        if "easter" in row:
            names |= {f"Western {row['name']}": False, f"Orthodox {row['name']}": True}
        first = "shift" in row or (julian and "easter" in row)
        for name, is_julian in names.items():
            for found, estimate in _first_days(row, years, is_julian):
                for evening in range(row.get("evenings", 1)):
                    day = found + timedelta(days=row.get("shift", 0) + evening)
                    (before if first else after).append((name, day, estimate))
    return before, after


@cache
def _keeps_julian(country: str) -> bool:
    """Whether a country's own days from Easter fall on those of the Julian reckoning."""
    if country.partition("-")[0] in _JULIAN_TOO:
        return True
    offsets = _from_easter()
    return any(
        day == orthodox_easter(_TELLING_YEAR) + timedelta(days=offsets[key(name)])
        for name, day, _ in _library(country, (_TELLING_YEAR,))
        if key(name) in offsets
    )


@cache
def _from_easter() -> Mapping[str, int]:
    """The days counted from Easter, by key."""
    return {key(row["name"]): row["easter"] for row in _rows() if "easter" in row}


@cache
def _rows() -> tuple[dict[str, Any], ...]:
    return tuple(read(Path(__file__).with_name("occasions.yaml")).data)


def _first_days(
    row: Mapping[str, Any], years: Iterable[int], julian: bool
) -> Iterable[tuple[date, bool]]:
    if "borrowed" in row:
        folded = key(row["borrowed"]["name"])
        for name, day, estimate in _library(row["borrowed"]["country"], years):
            if key(name) == folded:
                yield day, estimate
        return
    for year in years:
        if "fixed" in row:
            month, day_of_month = (int(part) for part in row["fixed"].split("-"))
            yield date(year, month, day_of_month), False
        if "easter" in row:
            calculate = orthodox_easter if julian else easter
            yield calculate(year) + timedelta(days=row["easter"]), False
        if "western" in row:
            yield easter(year) + timedelta(days=row["western"]), False
        if "advent" in row:
            yield advent(year) + timedelta(days=row["advent"]), False


def _library(country: str, years: Iterable[int]) -> list[Entry]:
    """(name, date, estimated) of every holiday the library knows, in both languages."""
    return [
        entry
        for language in (None, "en_US")
        for entry in _calendar(country, tuple(years), language)
    ]


@cache
def _calendar(country: str, years: tuple[int, ...], language: str | None) -> tuple[Entry, ...]:
    import holidays

    code, _, subdivision = country.partition("-")
    known = holidays.list_supported_countries()
    if code not in known or (subdivision and subdivision not in known[code]):
        raise UnknownCountry(country)
    maker = getattr(holidays, code)
    if language is None:
        language = maker.default_language
    elif language not in maker.supported_languages or language == maker.default_language:
        return ()
    with warnings.catch_warnings():
        # Some calendars warn outside the years they cover; there they are simply empty.
        warnings.simplefilter("ignore")
        found = holidays.country_holidays(
            code,
            subdiv=subdivision or None,
            years=years,
            categories=maker.supported_categories,
            observed=False,
            language=language,
        )
    estimate = found.tr(getattr(found, "estimated_label", "") or "%s") % ""
    entries = []
    for day, joined in found.items():
        for name in joined.split("; "):
            is_estimate = bool(estimate.strip()) and name.endswith(estimate.strip())
            plain = _IN_BRACKETS.sub("", name) if is_estimate else name
            entries.append((plain, day, is_estimate))
    return tuple(entries)
