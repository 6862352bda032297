"""The days people keep: from their names to dates.

A country's own holidays come from the `holidays` library, in its own language and in English, all
categories the library has for it, without the days off in lieu. What it lacks is in
`occasions.yaml`.
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

_FEASTS = {"easter": easter, "orthodox_easter": orthodox_easter, "advent": advent}
_IN_BRACKETS = re.compile(r"\s*\([^()]*\)$")


class UnknownCountry(ValueError):
    """The library has no holidays of that country."""


@dataclass(frozen=True)
class Occasions:
    """Named days in and around one year; `dates` is keyed by `key(name)`."""

    names: tuple[str, ...]  # as written, for hints
    dates: Mapping[str, tuple[date, ...]]
    estimated: frozenset[tuple[str, date]]  # (key, date) that a moon sighting may still move

    def of(self, name: str) -> tuple[date, ...] | None:
        """The dates of `name`, or None where nothing is known by that name."""
        return self.dates.get(key(name))


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
    for entries in (_general(years, shifted=True), own, _general(years, shifted=False)):
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
    return Occasions(tuple(names), MappingProxyType(in_order), frozenset(estimated))


Entry = tuple[str, date, bool]


def _general(years: Iterable[int], *, shifted: bool) -> Iterable[Entry]:
    """The evenings of the table's rows, of those with or those without a shift."""
    for row in _rows():
        if ("shift" in row) is shifted:
            for found, estimate in _first_days(row, years):
                for evening in range(row.get("evenings", 1)):
                    day = found + timedelta(days=row.get("shift", 0) + evening)
                    yield row["name"], day, estimate


@cache
def _rows() -> tuple[dict[str, Any], ...]:
    return tuple(read(Path(__file__).with_name("occasions.yaml")).data)


def _first_days(row: Mapping[str, Any], years: Iterable[int]) -> Iterable[tuple[date, bool]]:
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
        for feast, calculate in _FEASTS.items():
            if feast in row:
                yield calculate(year) + timedelta(days=row[feast]), False


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
