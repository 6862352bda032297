"""Evenings that have a scheme and yet stay dark: lights that go off before they come on."""

from __future__ import annotations

from collections.abc import Iterator

from layouts.finding import Finding
from sim.season.records import Evening, Season


def dark_findings(
    season: Season, year: int, evenings: tuple[Evening, ...], untold: frozenset[str]
) -> Iterator[Finding]:
    """What is not lit though it has a scheme; single evenings with a gap in `untold` are passed."""
    planned = [evening for evening in evenings if evening.scheme]
    if not planned:
        told = {"what": "no scheme", "year": year}
        yield Finding("warning", "season-never-lit", season.file, detail=told)
        return
    order = {"on": season.on.text, "off": season.off.text}
    if not any(evening.lit for evening in planned):
        told = {"what": "no evening", "year": year, **order}
        yield Finding("warning", "season-never-lit", season.evening_at, detail=told)
        return
    dark = [e.date for e in planned if not e.lit and e.gap not in untold]
    if dark:
        yield Finding(
            "warning", "season-not-lit", season.evening_at, detail={"days": dark, **order}
        )
    yield from _entries(season, year, planned)


def _entries(season: Season, year: int, planned: list[Evening]) -> Iterator[Finding]:
    """The entries none of whose evenings is lit."""
    lines = {(night.text, night.scheme): f"line {night.line}" for night in season.nights}
    entries = dict.fromkeys((evening.why, evening.scheme) for evening in planned)
    for why, scheme in entries:
        own = [e for e in planned if (e.why, e.scheme) == (why, scheme)]
        if not any(evening.lit for evening in own):
            told = {"what": "entry", "why": why, "scheme": scheme, "year": year}
            where = lines.get((why, scheme or ""), why)
            yield Finding("warning", "season-never-lit", where, detail=told)
