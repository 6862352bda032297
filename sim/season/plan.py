"""The year, evening by evening: which scheme, from when to when, and why.

Where several entries fall on one evening, the one that names the day counts (a date, a holiday, a
day from a holiday, the n-th weekday of a month); then the days before and after such a day; then a
span; then a weekday of every week; then `otherwise`. Among equals the later in the file counts.
Every such meeting is reported; that of equals as a warning, for the file states no order.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from layouts.finding import Finding, by_urgency
from sim.season.dark import dark_findings
from sim.season.days import check_year
from sim.season.occasions import Occasions, key, occasions
from sim.season.records import Evening, Gap, Night, Season
from sim.season.sky import lit
from sim.season.when import DaySpan, Rank, days_of, holidays_in


@dataclass(frozen=True, eq=False)
class YearPlan:
    """A season of one year."""

    season: Season
    year: int
    evenings: tuple[Evening, ...]
    findings: tuple[Finding, ...]


def plan(season: Season, year: int) -> YearPlan:
    """The evenings of `year`, 1 January to 31 December; raises EvenfallError for the year."""
    check_year(year)
    known = occasions(season.location.country, year)
    claims, empty = _claims(season, year, known)
    evenings = tuple(_evening(season, day, claims.get(day)) for day in days_of(year))
    findings = (
        *_meetings(claims),
        *(_no_evening(night, year) for night in empty),
        *_estimates(season, year, known),
        *_easters(season, year, known),
        *_long_spans(season, year, known),
        *_sky_findings(season, evenings),
        *dark_findings(season, year, evenings, _told(season)),
    )
    return YearPlan(season, year, evenings, by_urgency(findings))


#: (rank, order in the file, entry): the largest counts.
Claim = tuple[Rank, int, Night]


def _claims(
    season: Season, year: int, known: Occasions
) -> tuple[dict[date, list[Claim]], list[Night]]:
    """What claims each evening, best last, and the entries that claim none."""
    found: dict[date, dict[int, Claim]] = defaultdict(dict)
    empty = []
    for order, night in enumerate(season.nights):
        days = dict(_days(night, year, known))
        for day, rank in days.items():
            found[day][order] = (rank, order, night)
        if not days:
            empty.append(night)
    return {
        day: sorted(claims.values(), key=lambda c: c[:2]) for day, claims in found.items()
    }, empty


def _days(night: Night, year: int, known: Occasions) -> Iterator[tuple[date, Rank]]:
    """The evenings of `year` that the entry claims; the day itself comes after those around it."""
    named = [day for near in (year - 1, year, year + 1) for day in night.when.evenings(near, known)]
    around = [
        day + timedelta(days=n) for day in named for n in range(-night.before, night.after + 1) if n
    ]
    rank = night.when.rank
    beside = Rank.AROUND if rank is Rank.DAY else rank
    claimed = [(day, beside) for day in around] + [(day, rank) for day in named]
    return ((day, rank) for day, rank in claimed if day.year == year)


def _evening(season: Season, day: date, claims: list[Claim] | None) -> Evening:
    night = claims[-1][2] if claims else None
    scheme = night.scheme if night else season.otherwise
    why = night.text if night else ("otherwise" if scheme else "")
    when, above = lit(season.location, day, season.on, season.off)
    return Evening(day, scheme, why, when if scheme else None, above.gap)


def _meetings(claims: dict[date, list[Claim]]) -> list[Finding]:
    """Where two entries with different schemes meet, once for each pair."""
    met: dict[tuple[int, int, bool], list[date]] = defaultdict(list)
    entries: dict[int, Night] = {}
    for day in sorted(claims):
        *others, (rank, order, winner) = claims[day]
        for other_rank, other_order, other in others:
            if other.scheme != winner.scheme:
                met[order, other_order, other_rank == rank].append(day)
                entries[order], entries[other_order] = winner, other
    return [
        _meeting(entries[first], entries[second], equals, days)
        for (first, second, equals), days in met.items()
    ]


def _meeting(winner: Night, other: Night, equals: bool, days: list[date]) -> Finding:
    told = {
        "days": days,
        "winner": winner.text,
        "winner_line": winner.line,
        "other": other.text,
        "other_line": other.line,
    }
    where = f"line {winner.line}"
    if equals:
        return Finding("warning", "season-clash", where, detail=told)
    return Finding("note", "season-overlap", where, detail=told)


def _no_evening(night: Night, year: int) -> Finding:
    told = {"night": night.text, "year": year}
    return Finding("warning", "season-never", f"line {night.line}", detail=told)


def _estimates(season: Season, year: int, known: Occasions) -> Iterator[Finding]:
    for night in season.nights:
        for name in holidays_in(night.when):
            days = [day for day in known.of(name) or () if (key(name), day) in known.estimated]
            days = [day for day in days if day.year == year]
            if days:
                told = {"name": name, "days": days}
                yield Finding("note", "season-estimated", f"line {night.line}", detail=told)


def _easters(season: Season, year: int, known: Occasions) -> Iterator[Finding]:
    """Days counted from Easter where the country's churches and the western ones differ."""
    for night in season.nights:
        for name in holidays_in(night.when):
            own = [day for day in known.of(name) or () if day.year == year]
            other = known.other_easter(name)
            western = [day for day in other[1] if day.year == year] if other else []
            if other and own != western:
                told = {
                    "name": name,
                    "country": season.location.country,
                    "own": tuple(own),
                    "western": other[0],
                    "western_days": tuple(western),
                }
                yield Finding("note", "season-easter", f"line {night.line}", detail=told)


#: A span that runs over New Year and is longer than this is rather one whose ends are exchanged.
_LONG_EVENINGS = 300


def _long_spans(season: Season, year: int, known: Occasions) -> Iterator[Finding]:
    for night in season.nights:
        if not isinstance(night.when, DaySpan):
            continue
        days = night.when.length_days(year, known)
        if days is not None and days > _LONG_EVENINGS and night.when.turns(year, known):
            yield Finding(
                "warning",
                "season-long-span",
                f"line {night.line}",
                value=days,
                limit=_LONG_EVENINGS,
                unit="evenings",
                detail={"span": night.text},
            )


_SUN = ("dusk", "dawn", "sunset", "sunrise")
#: What the sun leaves out, and which moments that touches.
_GAPS: tuple[tuple[Gap, tuple[str, ...]], ...] = (
    ("no-dusk", ("dusk", "dawn")),
    ("midnight-sun", _SUN),
    ("polar-night", ("sunset", "sunrise")),
    ("no-daylight", _SUN),
)


def _told(season: Season) -> frozenset[str]:
    """The gaps whose dark evenings are told with what the sun does."""
    waits = {season.on.base, season.off.base} & set(_SUN)
    return frozenset({"midnight-sun"}) if waits else frozenset()


def _sky_findings(season: Season, evenings: tuple[Evening, ...]) -> Iterator[Finding]:
    bases = {season.on.base, season.off.base}
    for gap, touched in _GAPS:
        days = [evening.date for evening in evenings if evening.gap == gap]
        if days and bases & set(touched):
            yield Finding("note", f"season-{gap}", "location", detail={"days": days})
