"""What a supply is rated for, as it is written or sold."""

from __future__ import annotations

#: [A] what house files write of a rating that was watts over volts is rounded to.
_WRITTEN_A = 0.0005
#: [A] of rounding.
_EXACT = 1e-9


def amps_rated(rated_a: float) -> str:
    """Rated amperes without their unit: `12.5`, and `29.2` for what was watts once."""
    written = round(rated_a, 2)
    return f"{written:g}" if abs(written - rated_a) < _EXACT else f"{rated_a:.3g}"


def rating_text(volts: float, rated_a: float) -> str:
    """A rating as it is written or sold: `25 A`, but `350 W (29.2 A)` where the amperes are no
    round number [A] and the watts are, as far as a file's three decimals tell."""
    amps, watts = amps_rated(rated_a), round(volts * rated_a)
    sold = abs(watts - volts * rated_a) <= volts * _WRITTEN_A + _EXACT
    if sold and watts and abs(round(rated_a, 2) - rated_a) >= _EXACT:
        return f"{watts} W ({amps} A)"
    return f"{amps} A"
