"""What a test may show, written as a sightings file has it."""

from __future__ import annotations

import numpy as np

from layouts.records import House
from layouts.sightings import LOOKS

from .predicted import LIT

#: So many stretches are named, then the rest is left out.
_MOST = 4


def looks_text(house: House, looks: np.ndarray, start: int = 0) -> str:
    """`gable[75:389] dark; eave-right dark` of `looks` (K,) from pixel `start` on."""
    found = list(stretches(house, looks, start))
    if not found:
        return "all lit"
    text = "; ".join(f"{stretch} {LOOKS[look]}" for stretch, look in found[:_MOST])
    return text + ("; …" if len(found) > _MOST else "")


def stretches(house: House, looks: np.ndarray, start: int = 0) -> list[tuple[str, int]]:
    """Every stretch of one run that does one thing but be lit: as written, and what it does."""
    found = []
    for run in house.runs:
        begin, end = max(run.first, start), min(run.first + run.count, start + len(looks))
        if begin >= end:
            continue
        part = looks[begin - start : end - start]
        cuts = np.flatnonzero(np.diff(part)) + 1
        for first, last in zip([0, *cuts], [*cuts, len(part)], strict=True):
            if part[first] == LIT or part[first] >= len(LOOKS):
                continue
            a, b = begin + first - run.first, begin + last - run.first
            text = f"{run.name}[{a}]" if b - a == 1 else f"{run.name}[{a}:{b}]"
            found.append((run.name if b - a == run.count else text, int(part[first])))
    return found


def range_text(values: np.ndarray, unit: str) -> str:
    """`4.31 V`, or `4.1 V to 4.4 V`."""
    digits = {"V": 2, "Ω": 3}.get(unit, 1)
    low, high = (round(float(v), digits) for v in (values.min(), values.max()))
    low_text = f"{low:.{digits}f} {unit}"
    return low_text if high <= low else f"{low_text} to {high:.{digits}f} {unit}"
