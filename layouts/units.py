"""Lengths and wire sizes as people write them, and lengths as people read them."""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from fractions import Fraction
from typing import TypeVar

from layouts.files.numerals import mended

#: Metres in one of each unit; the inch is 25.4 mm and the foot 12 in exactly.
METRES = {"m": 1.0, "cm": 0.01, "mm": 0.001, "ft": 0.3048, "in": 0.0254}

_N = TypeVar("_N", float, Fraction)

_NUMBER = r"(\d+(?:\.\d*)?|\.\d+)"
_INCHES = rf"(?:(\d+)/(\d{{1,9}})|{_NUMBER}(?:[\s-]+(\d+)/(\d{{1,9}}))?)"
_METRIC = re.compile(rf"([-+]?){_NUMBER}\s*(m|cm|mm)")
_IMPERIAL = re.compile(
    rf"([-+]?)(?:{_NUMBER}\s*(?:ft|'|′|’))?\s*-?\s*(?:{_INCHES}\s*(?:in|\"|″|”))?", re.IGNORECASE
)
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
_AWG = re.compile(r"(\d{1,9})\s*AWG", re.IGNORECASE)
_MM2 = re.compile(rf"{_NUMBER}\s*mm(?:2|²|\^2)")
_MM = re.compile(rf"{_NUMBER}\s*mm")


def length_m(value: float | str, unit: str = "m") -> float:
    """The length [m] that `value` says: a number in `unit`, or text with its own unit.

    Text is `2.5 m`, `40 mm`, `12 ft 6 in`, `12' 6"`, `1/2 in` or `9' 6 1/2"`. Raises ValueError
    for anything else.
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError(f"expected a length, found {value!r}; write it like '2.5 m' or 12' 6\"")
    metres = _text_m(value, float) if isinstance(value, str) else value * METRES[unit]
    if not math.isfinite(metres) or abs(metres) > 1e5:
        raise ValueError(f"the length {value} is beyond 100 km; check its unit")
    return metres


def exact_m(text: str) -> Fraction:
    """The length [m] that a text with its unit says, to the last digit. Raises like `length_m`."""
    return _text_m(text, lambda number: Fraction(str(number)))


def _text_m(text: str, as_number: Callable[[str | float], _N]) -> _N:
    stripped = text.strip()
    if match := _METRIC.fullmatch(stripped):
        sign, number, unit = match.groups()
        metres = as_number(number) * as_number(METRES[unit])
    elif match := _imperial(stripped):
        sign = match[1]
        inches = as_number(match[5] or 0)
        for above, below in ((match[3], match[4]), (match[6], match[7])):
            inches += as_number(above) / as_number(below) if above and below else 0
        feet = as_number(match[2] or 0)
        metres = feet * as_number(METRES["ft"]) + inches * as_number(METRES["in"])
    else:
        do = mended(text)[1] or "write it like '2.5 m', '40 mm' or '12 ft 6 in'"
        raise ValueError(f"'{text}' is not a length; {do}")
    return -metres if sign == "-" else metres


def _imperial(text: str) -> re.Match[str] | None:
    """Feet, inches or both, where `text` says them."""
    for sign, plain in _VULGAR.items():
        text = text.replace(sign, f" {plain}")
    match = _IMPERIAL.fullmatch(text.strip())
    said = match and any(group is not None for group in match.groups()[1:])
    slashed = match and any(below is not None and int(below) == 0 for below in (match[4], match[7]))
    return match if said and not slashed else None


def length_text(metres: float, unit: str = "m") -> str:
    """A length as somebody who measures in `unit` reads it; `length_m` reads it back.

    Millimetres and centimetres to the tenth of a millimetre, metres to the millimetre, feet and
    inches to the eighth of an inch, as a tape shows them.
    """
    if unit not in ("ft", "in"):
        places = {"m": 3, "cm": 2, "mm": 1}[unit]
        text = f"{metres / METRES[unit]:.{places}f}".rstrip("0").rstrip(".")
        return f"{'0' if text == '-0' else text} {unit}"
    eighths = round(abs(metres) / METRES["in"] * 8)
    feet, rest = divmod(eighths, 96) if unit == "ft" else (0, eighths)
    inches, part = divmod(rest, 8)
    said = [f"{feet} ft"] if feet else []
    if part:
        shared = math.gcd(part, 8)
        fraction = f"{part // shared}/{8 // shared} in"
        said.append(f"{inches} {fraction}" if inches else fraction)
    elif inches or not feet:
        said.append(f"{inches} in")
    return ("-" if metres < 0 and eighths else "") + " ".join(said)


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
    if match := _MM.fullmatch(stripped):
        area = math.pi / 4 * float(match[1]) ** 2
        do = f"write '{match[1]} mm2', or '{area:.2g} mm2' if the copper is {match[1]} mm across"
        raise ValueError(f"'{stripped}' is a length, not the area of a wire; {do}")
    do = mended(stripped)[1] or "write it like '16 AWG' or '1.5 mm2'"
    raise ValueError(f"{text!r} is not a wire size; {do}")
