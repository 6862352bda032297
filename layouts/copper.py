"""Resistance of copper."""

from __future__ import annotations

#: Ω·mm²/m at 20 °C: 100 % IACS, exactly 1/58 (IEC 60028).
IACS_OHM_MM2_PER_M = 1 / 58

#: Temperature coefficient of resistance at 20 °C [1/K] (IACS).
ALPHA_PER_K = 0.00393


def ohm_per_m(area_mm2: float, temperature_c: float = 20.0) -> float:
    """Resistance [Ω/m] of one copper conductor: ρ/A · (1 + α·(T − 20 °C))."""
    return IACS_OHM_MM2_PER_M / area_mm2 * temperature_factor(temperature_c)


def temperature_factor(temperature_c: float) -> float:
    """Resistance at `temperature_c` over that at 20 °C."""
    return 1 + ALPHA_PER_K * (temperature_c - 20.0)
