"""What is questionable in a house file itself; nothing here needs a solve."""

from __future__ import annotations

from layouts.finding import Finding, by_urgency
from layouts.records import House


def house_findings(house: House) -> tuple[Finding, ...]:
    """Every finding of the house's own, most urgent first."""
    findings = []
    if not house.supplies:
        text = "no supplies: every pixel gets its nominal voltage; add supplies and wires"
        findings.append(Finding("note", "no-supplies", house.name, text))
    return by_urgency(findings)
