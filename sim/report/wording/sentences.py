"""The sentence of any finding, and the finding as plain data with its sentence."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from layouts.finding import Finding
from sim.report.wording import (
    data,
    faults,
    flashing,
    house,
    load,
    measured,
    mounted,
    parts,
    plan,
    recorded,
    season,
    surge,
    weather,
)

#: Of every code, what makes its sentence.
WORDINGS: Mapping[str, Callable[[Finding], str]] = MappingProxyType(
    {
        **house.WORDINGS,
        **mounted.WORDINGS,
        **load.WORDINGS,
        **flashing.WORDINGS,
        **season.WORDINGS,
        **parts.WORDINGS,
        **plan.WORDINGS,
        **data.WORDINGS,
        **faults.WORDINGS,
        **recorded.WORDINGS,
        **measured.WORDINGS,
        **weather.WORDINGS,
        **surge.WORDINGS,
    }
)


def sentence(finding: Finding) -> str:
    """What is the matter and what to change; raises KeyError for a code that has no wording."""
    said = finding.text or WORDINGS[finding.code](finding)
    at_c = finding.detail.get("at_c")
    if at_c:
        said = f"at {' and '.join(f'{each:g}' for each in at_c)} °C: {said}"
    evenings = finding.detail.get("evenings")
    if evenings is None:
        return said
    return f"on {evenings} evening{'' if evenings == 1 else 's'}: {said}"


def finding_json(finding: Finding) -> dict[str, Any]:
    """A finding as every `--json` has it. Fields are stable; later versions only add.

    `at_c`: the temperatures it holds at, where it is of some only.
    """
    at_c = finding.detail.get("at_c")
    return {
        "level": finding.level,
        "code": finding.code,
        "where": finding.where,
        "text": sentence(finding),
        "value": finding.value,
        "limit": finding.limit,
        "unit": finding.unit,
        "remedies": finding.remedies,
        "elements": finding.elements or (finding.where,),
        **({"at_c": at_c} if at_c else {}),
    }
