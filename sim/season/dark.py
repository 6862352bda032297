"""Evenings that have a scheme and yet stay dark: lights that go off before they come on."""

from __future__ import annotations

from collections.abc import Iterator

from layouts.finding import Finding
from sim.season.days import dates
from sim.season.records import Evening, Season

_DO = "write an earlier 'on' or a later 'off' where you want light"


def dark_findings(
    season: Season, year: int, evenings: tuple[Evening, ...], untold: frozenset[str]
) -> Iterator[Finding]:
    """What is not lit though it has a scheme; single evenings with a gap in `untold` are passed."""
    planned = [evening for evening in evenings if evening.scheme]
    if not planned:
        text = f"no evening of {year} has a scheme; write 'otherwise', or 'nights' that fall in it"
        yield Finding("warning", "season-never-lit", season.file, text)
        return
    order = f"'{season.off.text}' comes before '{season.on.text}'"
    if not any(evening.lit for evening in planned):
        text = f"no evening of {year} is lit: {order}, or neither comes; {_DO}"
        yield Finding("warning", "season-never-lit", season.evening_at, text)
        return
    dark = [e.date for e in planned if not e.lit and e.gap not in untold]
    if dark:
        text = f"{dates(dark)}: not lit, {order}; {_DO}"
        yield Finding("warning", "season-not-lit", season.evening_at, text)
    yield from _entries(season, year, planned)


def _entries(season: Season, year: int, planned: list[Evening]) -> Iterator[Finding]:
    """The entries none of whose evenings is lit."""
    lines = {(night.text, night.scheme): f"line {night.line}" for night in season.nights}
    entries = dict.fromkeys((evening.why, evening.scheme) for evening in planned)
    for why, scheme in entries:
        own = [e for e in planned if (e.why, e.scheme) == (why, scheme)]
        if not any(evening.lit for evening in own):
            text = f"'{why}' ({scheme}) is lit on none of its evenings of {year}; {_DO}"
            yield Finding("warning", "season-never-lit", lines.get((why, scheme or ""), why), text)
