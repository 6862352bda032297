"""Flash safety of a scheme on a house: WCAG 2.2 limits on the light as seen from the street."""

from __future__ import annotations

from effects import Scheme
from layouts.finding import Finding
from layouts.records import House


def flash_findings(house: House, scheme: Scheme) -> tuple[Finding, ...]:
    """Findings `flash-general`, `flash-red` and `flash-long` of the scheme on this house."""
    raise NotImplementedError
