"""Lengths of a house document: read in metres, written in the file's units and rounding.

Metric files have millimetres, imperial ones sixteenths of an inch: what a tape shows, and a little
more. A bare number is in the file's `units`; where a value carried its own unit, so does the new.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

from layouts.units import METRES, length_m
from sim.plan.lengths import entry

#: The steps of each rounding [m].
MILLIMETRE_M, SIXTEENTH_M = 0.001, METRES["in"] / 16
#: Lengths that differ by less are the same [m].
SAME_M = 1e-9

_OWN_UNIT = re.compile(r"[-+]?[\d.]+\s*(m|cm|mm)")


def units_of(data: Mapping[str, Any]) -> str:
    """What bare numbers of a document mean."""
    units = data.get("units", "m")
    return units if isinstance(units, str) and units in METRES else "m"


def metres(value: Any, data: Mapping[str, Any]) -> float:
    """The length [m] of a value of the document. Raises ValueError."""
    return length_m(value, units_of(data))


def is_expression(value: Any) -> bool:
    """Whether a coordinate is reckoned from measures of the file."""
    return isinstance(value, str) and value.lstrip().startswith("=")


def step_m(units: str) -> float:
    """What lengths are rounded to [m]."""
    return SIXTEENTH_M if units in ("ft", "in") else MILLIMETRE_M


def rounded_m(value_m: float, units: str) -> float:
    """The nearest length [m] that is written in a file in `units`."""
    step = step_m(units)
    return round(value_m / step) * step + 0.0


def bare(value_m: float, units: str) -> float:
    """The number that a file in `units` has for a length: 8.25, not 8.250000000000001.

    Sixteenths of an inch are exact in inches; in feet five digits say which one is meant.
    """
    steps = round(value_m / step_m(units))
    if units in ("ft", "in"):
        return steps / 16 + 0.0 if units == "in" else round(steps / 192, 5) + 0.0
    return steps / {"m": 1000, "cm": 10, "mm": 1}[units] + 0.0


def written(value_m: float, data: Mapping[str, Any], old: Any = None) -> Any:
    """A length as the document writes it, in the place of `old`.

    What says the same already stays as it is, unless it is an expression.
    """
    units = units_of(data)
    if old is None or is_expression(old):
        return _whole(bare(value_m, units))
    try:
        if abs(metres(old, data) - value_m) < SAME_M:
            return old
    except ValueError:
        return _whole(bare(value_m, units))
    if not isinstance(old, str):
        return _whole(bare(value_m, units))
    own = _OWN_UNIT.fullmatch(old.strip())
    if own is not None:
        return f"{_whole(bare(value_m, own[1]))} {own[1]}"
    feet = "ft" in old or "'" in old or "′" in old or "’" in old
    return entry(value_m, "ft" if feet else "in")


def _whole(number: float) -> float | int:
    return int(number) if number == int(number) else number
