"""Numbers with a unit, as schemes carry them: 0.5, "0.5 m/s", "2 ft/s", "500 ms", "30 deg"."""

from __future__ import annotations

import re

from layouts.files.numerals import mended
from layouts.units import length_m

#: unit of a parameter → what may be written after a number, and how many of the unit it is
_TIMES = {"s": 1.0, "ms": 0.001, "min": 60.0, "h": 3600.0}
_PLAIN: dict[str, dict[str, float]] = {
    "s": _TIMES,
    "deg": {"deg": 1.0, "°": 1.0},
    "/min": {"/min": 1.0, "/s": 60.0, "/h": 1 / 60},
    "/s": {"/s": 1.0, "/min": 1 / 60},
    "": {"%": 0.01},
}
_NUMBER = re.compile(r"\s*([-+]?(?:\d+\.?\d*|\.\d+))\s*(\S*)\s*")


def quantity(value: float | str, unit: str) -> float:
    """`value` in `unit`: a number is taken as it is, text carries its own unit.

    Raises ValueError where the text is no such quantity.
    """
    if not isinstance(value, str):
        return value
    if unit == "m":
        return length_m(value)
    if unit == "m/s" and value.rstrip().endswith("/s"):
        return length_m(value.rstrip().removesuffix("/s"))
    if unit == "m/s" and _is_length(value):
        raise ValueError(f"'{value}' is a length, not a speed; write '{value}/s'")
    found = _NUMBER.fullmatch(value)
    scale = _PLAIN.get(unit, {}).get(found[2]) if found else None
    if found is None or scale is None:
        example = f"'2 {unit}'" if unit else "'50 %'"
        do = mended(value)[1] or f"write it like {example} or 2"
        raise ValueError(f"'{value}' is not a number; {do}")
    return float(found[1]) * scale


def _is_length(text: str) -> bool:
    try:
        length_m(text)
    except ValueError:
        return False
    return True
