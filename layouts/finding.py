"""A finding: something the house or a scheme does that its owner should know."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Level = Literal["danger", "warning", "note"]

#: Most urgent first; reports are sorted by this.
LEVELS: tuple[Level, ...] = ("danger", "warning", "note")


@dataclass(frozen=True)
class Finding:
    """One statement about one place; `code` is stable so that programs can build on it."""

    level: Level
    code: str
    where: str
    text: str


def by_urgency(findings: list[Finding] | tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings with dangers first, otherwise in the order given."""
    return tuple(sorted(findings, key=lambda finding: LEVELS.index(finding.level)))
