"""Numbers as people write them, and how the same number is written here."""

from __future__ import annotations

import re

#: Greek letters and the signs made of them look alike and are not the same.
_LOOKALIKES = str.maketrans("\u2126\u03bc", "\u03a9\u00b5")
_TYPOGRAPHIC_MINUS = str.maketrans("−–", "--")
_COMMA = re.compile(r"(?<![\d.,])(\d+),(\d+)(?![\d.,])")
_NUMBER = re.compile(r"([-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?)\s*(\S*)")
_PREFIXES = {"": 1.0, "M": 1e6, "k": 1e3, "m": 1e-3, "u": 1e-6, "µ": 1e-6, "n": 1e-9}
_BASES = {
    **{unit: unit for unit in ("V", "A", "W", "Ω", "Hz", "K", "lm", "m", "s", "°C", "°", "%")},
    **{"ohm": "Ω", "ohms": "Ω", "C": "°C", "deg": "°", "min": "min", "h": "h", "fps": "fps"},
}
_LONG_S = {"min": 60.0, "h": 3600.0}
#: The unit of a bare number under each key that has one.
UNIT_OF = {
    **dict.fromkeys(("volts", "vf", "headroom_v", "min_v", "dropout_v", "regulated_v"), "V"),
    **dict.fromkeys(("max_v", "adjust_v"), "V"),
    **dict.fromkeys(("amps", "fuse"), "A"),
    **dict.fromkeys(("ma", "idle_ma", "regulator_ma", "set_ma"), "mA"),
    **dict.fromkeys(("nm", "fwhm_nm"), "nm"),
    **dict.fromkeys(("bit_us", "reset_us"), "us"),
    **dict.fromkeys(("source_ohm", "rail_ohm_per_m", "resistor_ohm"), "Ω"),
    **dict.fromkeys(("seconds", "from", "until", "ease"), "s"),
    **dict.fromkeys(("latitude", "longitude", "beam_half_deg", "lens"), "°"),
    "cct": "K",
    "lm": "lm",
    "no_load_w": "W",
    "pwm_hz": "Hz",
    "data_hop_m": "m",
    "temperature_c": "°C",
    "fps": "fps",
}


def mended(text: str) -> tuple[str, str]:
    """`text` with a decimal point and a plain minus, and what to do; "" where nothing is amiss."""
    plain = text.strip().translate(_TYPOGRAPHIC_MINUS)
    pointed = _COMMA.sub(r"\1.\2", plain)
    if pointed != plain:
        return pointed, f"write a decimal point: {pointed}"
    if plain != text.strip():
        return plain, f"write {plain} with a plain minus"
    return plain, ""


def in_unit(text: str, unit: str) -> float | None:
    """The number that `text` says in `unit`, as `10 A` or `500 mA` do in A; None where none.

    `%` is a hundredth where the number has no unit, and °F is understood where °C is wanted.
    """
    found = _NUMBER.fullmatch(text.strip().translate(_TYPOGRAPHIC_MINUS).translate(_LOOKALIKES))
    if found is None or not found[2]:
        return None
    number, written = float(found[1]), found[2]
    if unit == "°C" and written in ("°F", "F"):
        return (number - 32) / 1.8
    factor = 0.01 if unit == "" and written == "%" else _factor(written, unit)
    if unit == "s" and factor is None:
        factor = _LONG_S.get(written)
    return None if factor is None else float(f"{number * factor:.15g}")


def number_hint(text: str, key: str) -> str:
    """What to write where `text` stands for the number under `key`; "" where nobody can know."""
    plain, _ = mended(text)
    found = _NUMBER.fullmatch(plain)
    if not found:
        return ""
    number, unit = found.groups()
    if not unit:
        return mended(text)[1] or f"write {number} without quotes"
    wanted = UNIT_OF.get(key, "")
    if unit == "%" and not wanted:
        return f"write {_in_digits(float(number) / 100)}"
    factor = _factor(unit, wanted)
    if factor is None:
        return f"write the number alone, in {wanted}" if wanted else "write the number alone"
    if factor != 1:
        return f"write {_in_digits(float(number) * factor)}"
    return mended(text.strip().removesuffix(unit))[1] or f"write {number}"


def _in_digits(value: float) -> str:
    return f"{value:.10g}"


def _factor(unit: str, wanted: str) -> float | None:
    """How many `wanted` one `unit` is, where both measure the same."""
    own, other = _split(unit), _split(wanted)
    if own is None or other is None or own[1] != other[1]:
        return None
    return own[0] / other[0]


def _split(unit: str) -> tuple[float, str] | None:
    """A unit's prefix as a factor, and its base."""
    for written, base in _BASES.items():
        prefix = unit.removesuffix(written)
        if unit.endswith(written) and prefix in _PREFIXES:
            return _PREFIXES[prefix], base
    return None
