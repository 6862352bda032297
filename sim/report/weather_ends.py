"""What cold and heat add to the findings of a scheme, each with the temperatures it holds at."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from layouts.finding import LEVELS, Finding, by_urgency
from sim.report.weather import AtTemperature


def with_ends(findings: Sequence[Finding], ends: Sequence[AtTemperature]) -> tuple[Finding, ...]:
    """The findings, and those that some temperature adds or makes graver, at which it does.

    A finding adds nothing where one of the same code, no less grave, names all its elements.
    """
    known = [_told(each) for each in findings]
    more: dict[tuple[str, str, str], Finding] = {}
    at: dict[tuple[str, str, str], list[float]] = {}
    for end in ends:
        # Those of the weather come first, as they are the ones asked for.
        for found in (*end.findings, *(f for f in end.power.findings if _is_new(f, known))):
            key = (found.level, found.code, found.where)
            more.setdefault(key, found)
            at.setdefault(key, []).append(end.celsius)
    tagged = (
        replace(found, detail={**found.detail, "at_c": tuple(dict.fromkeys(at[key]))})
        for key, found in more.items()
    )
    return by_urgency((*findings, *tagged))


def _told(found: Finding) -> tuple[str, int, frozenset[str]]:
    return found.code, LEVELS.index(found.level), frozenset(found.elements or (found.where,))


def _is_new(found: Finding, known: Sequence[tuple[str, int, frozenset[str]]]) -> bool:
    code, level, elements = _told(found)
    covered: set[str] = set()
    for other, grave, names in known:
        if other == code and grave <= level:
            covered |= names
    return not elements <= covered
