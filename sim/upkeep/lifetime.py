"""Light and parts over hours: TM-21's form, Arrhenius between temperatures, capacitors.

    Φ(t) = B·exp(−α·t)          least squares of ln Φ on the averages of a test
    L_p  = ln(B / p) / α
    α(T) = A·exp(−Ea / kT)      through two case temperatures; B₀ = √(B₁·B₂)
    L(T) = L₀·2^((T₀ − T)/10)   an electrolytic capacitor; mixed duty 1/L = Σ fᵢ/Lᵢ

TM-21 as published in the society's articles; no more than six times the hours tested may be claimed
with 20 samples or more, 5.5 times with 10 to 19, nothing with fewer [published].
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

_ZERO_C_K = 273.15
#: Never data before 1000 h; of tests up to 10 000 h the last 5000 h, of longer ones the last half.
_FIRST_H, _SHORT_H, _LAST_H, _SLACK_H = 1000.0, 10_000.0, 5000.0, 48.0


@dataclass(frozen=True)
class Decay:
    """Φ(t) = b·exp(−alpha·t)."""

    alpha_per_h: float
    b: float = 1.0

    def left(self, hours: float | np.ndarray) -> np.ndarray:
        """Φ after some hours, of 1 at the start."""
        return self.b * np.exp(-self.alpha_per_h * np.asarray(hours, dtype=float))

    def hours_to(self, share: float) -> float:
        """[h] until that share is left; for ever where nothing fades."""
        if self.alpha_per_h <= 0:
            return float("inf")
        return float(np.log(self.b / share) / self.alpha_per_h)


def fitted_decay(hours: np.ndarray, flux: np.ndarray) -> Decay:
    """The decay of averages `flux` (M,), 1 at the start, read after `hours` (M,).

    Only the readings that TM-21 takes count. Raises ValueError for a test shorter than 6000 h.
    """
    tested_h = float(np.max(hours))
    if tested_h < 6000 - _SLACK_H:
        raise ValueError(f"{tested_h:g} h are too few; a test has 6000 h or more")
    span_h = _LAST_H if tested_h <= _SHORT_H else tested_h / 2
    used = hours >= max(_FIRST_H, tested_h - span_h) - _SLACK_H
    slope, level = np.polyfit(hours[used], np.log(flux[used]), 1)
    return Decay(float(-slope), float(np.exp(level)))


def most_claimed_h(tested_h: float, samples: int) -> float:
    """[h] beyond which no lifetime may be claimed. Raises ValueError for fewer than 10 samples."""
    if samples < 10:
        raise ValueError(f"{samples} samples are too few; take 10 or more, better 20")
    return (6.0 if samples >= 20 else 5.5) * tested_h


def between(cool_c: float, cool: Decay, warm_c: float, warm: Decay, at_c: float) -> Decay:
    """The decay at a temperature between two that were tested, by Arrhenius."""
    t1, t2, t = (each + _ZERO_C_K for each in (cool_c, warm_c, at_c))
    ea_over_k = np.log(cool.alpha_per_h / warm.alpha_per_h) / (1 / t2 - 1 / t1)
    a = cool.alpha_per_h * np.exp(ea_over_k / t1)
    return Decay(float(a * np.exp(-ea_over_k / t)), float(np.sqrt(cool.b * warm.b)))


def capacitor_h(rated_h: float, rated_c: float, celsius: float) -> float:
    """[h] that a capacitor lasts at a temperature of its own."""
    return float(rated_h * 2 ** ((rated_c - celsius) / 10))


def mixed_h(shares: np.ndarray, lives_h: np.ndarray) -> float:
    """[h] of a part that spends these shares of its time under conditions with these lives."""
    return float(1 / (shares / lives_h).sum())
