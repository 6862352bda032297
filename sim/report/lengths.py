"""Lengths of a bill, a cutting list and a document as whoever builds reads them off a tape."""

from __future__ import annotations

import math

from layouts.units import METRES, length_text
from sim.parts import BillLine
from sim.parts.lines import MinutesPerMetre

_FEET = ("ft", "in")


def cut_text(length_m: float, units: str) -> str:
    """A length as the saw is set: to the millimetre, or to the eighth of an inch."""
    return f"{length_m:.3f} m" if units == "m" else length_text(length_m, units)


def laid_text(length_m: float, units: str) -> str:
    """A length of what is laid or fixed: to the centimetre, or to the eighth of an inch."""
    return f"{length_m:.2f} m" if units == "m" else length_text(length_m, units)


def about_text(length_m: float, units: str) -> str:
    """A length or a place that is only seen: to the decimetre, or to the inch."""
    if units in _FEET:
        return length_text(round(length_m / METRES["in"]) * METRES["in"], units)
    return f"{length_m:.1f} m" if units == "m" else length_text(round(length_m, 1), units)


def quantity_cells(line: BillLine, units: str) -> tuple[str, str, str]:
    """How much of a line, its unit, and the price of one.

    What is bought by length is told in feet where the house is measured in feet or inches, never
    less than what is needed; its price is then that of a foot, a digit finer.
    """
    by_foot = line.unit == "m" and units in _FEET
    quantity, each, digits = line.quantity, line.price_each, 2
    if by_foot:
        quantity = math.ceil(quantity / METRES["ft"] * 10 - 1e-6) / 10
        each, digits = None if each is None else each * METRES["ft"], 3
    return (
        f"{quantity:.2f}".rstrip("0").rstrip("."),
        "ft" if by_foot else line.unit,
        "–" if each is None else f"{each:.{digits}f}",
    )


def purpose_text(line: BillLine, units: str) -> str:
    """What a line is for, its lengths in the units of the house."""
    if units == "m" or not line.purpose_parts:
        return line.purpose
    return "".join(_told(each, units) for each in line.purpose_parts)


def _told(part: str | float | MinutesPerMetre, units: str) -> str:
    if isinstance(part, str):
        return part
    if not isinstance(part, MinutesPerMetre):
        return length_text(part, units)
    if units in _FEET:
        return f"{part.minutes * METRES['ft']:.3g} min a foot"
    return f"{part.minutes:g} min a metre"
