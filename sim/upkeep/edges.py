"""What a series resistor and a long lead do to the edges of a bit.

The resistor charges the lead's capacitance C: the line rises and falls with the time constant R·C.
Of a zero, T0H long, the receiver sees what lies between the moment the line passes its upper
threshold and the moment it has fallen past its lower one:

    seen = T0H + R·C·ln(1 − exp(−T0H / R·C))      with thresholds 0.7 and 0.3 of what is sent

and nothing at all where the line never gets to 0.7. Rule of thumb: R·C ≤ T0H / 2.
"""

from __future__ import annotations

import math

#: [F/m] of a pair of conductors, as most cable has; common practice, no source.
LEAD_F_PER_M = 100e-12
#: [s] for which a zero is high: 0.30–0.35 µs suits every type; common practice, no source.
ZERO_HIGH_S = 350e-9
_RISEN = 0.7


def most_series_ohm(length_m: float) -> float:
    """[Ω] that a lead of `length_m` [m] bears: R·C ≤ T0H / 2. Infinite without a lead."""
    return ZERO_HIGH_S / 2 / (LEAD_F_PER_M * length_m) if length_m > 0 else math.inf


def zero_seen_s(ohm: float, length_m: float) -> float:
    """[s] for which a zero is seen high at the far end of the lead; 0 where it vanishes."""
    constant_s = ohm * LEAD_F_PER_M * length_m
    if constant_s <= 0:
        return ZERO_HIGH_S
    peak = 1 - math.exp(-ZERO_HIGH_S / constant_s)
    return ZERO_HIGH_S + constant_s * math.log(peak) if peak > _RISEN else 0.0
