"""A finding: something the house or a scheme does that its owner should know.

A finding is data; `sim.report.wording` makes the sentence of it, by its code.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Any, Literal

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
    unit: str = ""  # a thicker wire's A: what it has to carry


@dataclass(frozen=True)
class Finding:
    """One statement about one place; `code` is stable so that programs can build on it."""

    level: Level
    code: str
    where: str
    text: str = ""  # a sentence ready made; "" where the report words the code
    value: float | None = None  # what was found; a share is 0..1 and has no unit
    limit: float | None = None  # what it should keep to
    unit: str = ""  # of both
    remedies: tuple[Remedy, ...] = ()
    elements: tuple[str, ...] = ()  # the runs, wires, supplies of `where`; () where it is one
    detail: Mapping[str, Any] = field(default_factory=dict, hash=False)  # what its sentence names

    def __post_init__(self) -> None:
        object.__setattr__(self, "detail", MappingProxyType(dict(self.detail)))


def by_urgency(findings: list[Finding] | tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The findings with dangers first, otherwise in the order given."""
    return tuple(sorted(findings, key=lambda finding: LEVELS.index(finding.level)))
