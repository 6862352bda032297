"""The planned year as an iCalendar file (RFC 5545): one event an evening."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from datetime import UTC, datetime

from layouts.errors import harmless
from sim.report.season_data import scheme_name
from sim.season.plan import YearPlan
from sim.season.records import Evening

_FOLD_OCTETS = 75  # RFC 5545, 3.1


def ics(house_name: str, plan: YearPlan) -> bytes:
    """Every lit evening as an event from switching on to switching off, in UTC.

    The same plan gives the same bytes: identifiers come from house, date and scheme, and the time
    stamp is the year's beginning.
    """
    name = _text(f"{house_name} lights {plan.year}")
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "PRODID:-//Evenfall//Season//EN",
        "CALSCALE:GREGORIAN",
        f"NAME:{name}",  # RFC 7986; the next line is what programs read before it
        f"X-WR-CALNAME:{name}",
    ]
    for evening in plan.evenings:
        lines += _event(house_name, plan, evening)
    lines.append("END:VCALENDAR")
    return "".join(f"{part}\r\n" for line in lines for part in _folded(line)).encode()


def _event(house_name: str, plan: YearPlan, evening: Evening) -> Iterator[str]:
    if not evening.lit or not evening.scheme:
        return
    name = scheme_name(plan, evening.scheme)
    seed = "\n".join((house_name, evening.date.isoformat(), evening.scheme))
    yield "BEGIN:VEVENT"
    yield f"UID:{hashlib.sha256(seed.encode()).hexdigest()[:32]}@evenfall.invalid"
    yield f"DTSTAMP:{_stamp(datetime(plan.year, 1, 1, tzinfo=UTC))}"
    yield f"DTSTART:{_stamp(evening.lit.on)}"
    yield f"DTEND:{_stamp(evening.lit.off)}"
    yield f"SUMMARY:{_text(name)}"
    yield f"DESCRIPTION:{_text(f'{evening.why}: {evening.scheme} on {house_name}')}"
    yield f"CATEGORIES:{_text('every evening' if evening.why == 'otherwise' else 'occasion')}"
    yield "TRANSP:TRANSPARENT"
    yield "END:VEVENT"


def _stamp(time: datetime) -> str:
    return time.astimezone(UTC).strftime("%Y%m%dT%H%M%SZ")


def _text(value: str) -> str:
    """A TEXT value, escaped (RFC 5545, 3.3.11), which takes no control characters."""
    value = "\n".join(map(harmless, value.splitlines()))
    for plain, escaped in (("\\", "\\\\"), (";", "\\;"), (",", "\\,"), ("\n", "\\n")):
        value = value.replace(plain, escaped)
    return value


def _folded(line: str) -> Iterator[str]:
    """The line in parts of at most 75 octets, never inside a character (RFC 5545, 3.1)."""
    part = ""
    for character in line:
        if len((part + character).encode()) > _FOLD_OCTETS:
            yield part
            part = " "
        part += character
    yield part
