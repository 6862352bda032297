"""Lengths as a plan writes them: to the millimetre, or to the sixteenth of an inch, never less."""

from __future__ import annotations

import math
from fractions import Fraction

from layouts.units import METRES

_STEP_M = {"ft": METRES["in"] / 16, "in": METRES["in"] / 16}


def bought(metres: float, units: str) -> float:
    """[m] rounded up to what somebody who measures in `units` cuts."""
    step_m = _STEP_M.get(units, 0.001)
    return math.ceil(metres / step_m - 1e-6) * step_m


def entry(metres: float, units: str) -> str:
    """A length with its unit, to the nearest step; `layouts.length_m` reads it back."""
    if units not in _STEP_M:
        return f"{_decimal(round(metres * 1000), 1000)} m"
    steps = round(abs(metres) / _STEP_M[units])
    feet, rest = divmod(steps, 192) if units == "ft" else (0, steps)
    inches, part = divmod(rest, 16)
    said = [f"{feet} ft"] if feet else []
    if inches or part or not feet:
        fraction = f" {Fraction(part, 16)}" if part else ""
        said.append(f"{inches or ''}{fraction} in".strip() if inches or part else "0 in")
    return ("-" if metres < 0 and steps else "") + " ".join(said)


def in_file(metres: float, units: str) -> float | str:
    """The same as a file in `units` has it: a bare number, or feet and inches with their signs."""
    if units in _STEP_M:
        return entry(metres, units)
    per_mm = {"m": 1000, "cm": 10, "mm": 1}[units]
    return float(_decimal(round(metres * 1000), per_mm))


def _decimal(thousandths: int, per: int) -> str:
    return f"{thousandths / per:.3f}".rstrip("0").rstrip(".")
