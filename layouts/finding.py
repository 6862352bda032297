"""A finding: something the house or a scheme does that its owner should know."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Level = Literal["danger", "warning", "note"]

#: Most urgent first; reports are sorted by this.
LEVELS: tuple[Level, ...] = ("danger", "warning", "note")


@dataclass(frozen=True)
class Remedy:
    """One change that would mend a finding, as data: a planner reads it, the report words it."""

    action: (
        str  # stable, e.g. "add-feed", "thicker-wire", "larger-supply", "cut", "lower-brightness"
    )
    target: str = ""  # the run, pad, wire or supply it is done to, as a house file names it
    value: float | None = None  # how much, where that is known
    unit: str = ""


@dataclass(frozen=True)
class Finding:
    """One statement about one place; `code` is stable so that programs can build on it."""

    level: Level
    code: str
    where: str
    text: str
    value: float | None = None  # what was found
    limit: float | None = None  # what it should keep to
    unit: str = ""  # of both
    remedies: tuple[Remedy, ...] = ()


def by_urgency(findings: list[Finding] | tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings with dangers first, otherwise in the order given."""
    return tuple(sorted(findings, key=lambda finding: LEVELS.index(finding.level)))
