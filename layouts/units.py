"""Lengths and wire sizes as people write them."""

from __future__ import annotations

import math
import re

from layouts.files.numerals import mended

#: Metres in one of each unit; the inch is 25.4 mm and the foot 12 in exactly.
METRES = {"m": 1.0, "cm": 0.01, "mm": 0.001, "ft": 0.3048, "in": 0.0254}

_NUMBER = r"(\d+(?:\.\d*)?|\.\d+)"
_METRIC = re.compile(rf"([-+]?){_NUMBER}\s*(m|cm|mm)")
_IMPERIAL = re.compile(
    rf"([-+]?)(?:{_NUMBER}\s*(?:ft|'|′|’))?\s*(?:{_NUMBER}\s*(?:in|\"|″|”))?", re.IGNORECASE
)
_AWG = re.compile(r"(\d+)\s*AWG", re.IGNORECASE)
_MM2 = re.compile(rf"{_NUMBER}\s*mm(?:2|²)")


def length_m(value: float | str, unit: str = "m") -> float:
    """The length [m] that `value` says: a number in `unit`, or text with its own unit.

    Text is `2.5 m`, `40 mm`, `12 ft 6 in` or `12' 6"`. Raises ValueError for anything else.
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError(f"expected a length, found {value!r}; write it like '2.5 m' or 12' 6\"")
    metres = _text_m(value) if isinstance(value, str) else value * METRES[unit]
    if not math.isfinite(metres) or abs(metres) > 1e5:
        raise ValueError(f"the length {value} is beyond 100 km; check its unit")
    return metres


def _text_m(text: str) -> float:
    stripped = text.strip()
    if match := _METRIC.fullmatch(stripped):
        sign, number, unit = match.groups()
        metres = float(number) * METRES[unit]
    elif stripped and (match := _IMPERIAL.fullmatch(stripped)) and (match[2] or match[3]):
        sign = match[1]
        metres = float(match[2] or 0) * METRES["ft"] + float(match[3] or 0) * METRES["in"]
    else:
        do = mended(text)[1] or "write it like '2.5 m', '40 mm' or '12 ft 6 in'"
        raise ValueError(f"'{text}' is not a length; {do}")
    return -metres if sign == "-" else metres


def awg_area_mm2(gauge: int) -> float:
    """Cross-section [mm²] of a solid conductor of American wire gauge `gauge`.

    ASTM B258: d = 0.127 mm · 92^((36 − n)/39).
    """
    diameter_mm = 0.127 * 92 ** ((36 - gauge) / 39)
    return math.pi / 4 * diameter_mm**2


def wire_area_mm2(text: str) -> tuple[str, float]:
    """The proper name and the area [mm²] of a wire written `16 AWG` or `1.5 mm2`.

    Raises ValueError for anything else, and outside 24..0 AWG and 0.2..50 mm².
    """
    stripped = text.strip() if isinstance(text, str) else ""
    if match := _AWG.fullmatch(stripped):
        gauge = int(match[1])
        if not 0 <= gauge <= 24:
            raise ValueError(f"wire {gauge} AWG is not known here; write 0 AWG to 24 AWG")
        return f"{gauge} AWG", awg_area_mm2(gauge)
    if match := _MM2.fullmatch(stripped):
        area_mm2 = float(match[1])
        if not 0.2 <= area_mm2 <= 50:
            raise ValueError(f"wire {area_mm2:g} mm2 is not known here; write 0.2 to 50 mm2")
        return f"{area_mm2:g} mm2", area_mm2
    do = mended(stripped)[1] or "write it like '16 AWG' or '1.5 mm2'"
    raise ValueError(f"{text!r} is not a wire size; {do}")
