"""By how much the LEDs of a run are warmer than the air, from their own watts, as a range.

    R′ = 1 / (h·P)                 a metre of channel, h the loss to the air, P the outline it has
    ΔT = q·R′ + p·R_die            q watts a metre, p watts a pixel, all of it taken to become heat

h runs from bare metal under an eave to painted metal in the open, P from three sides to all round,
R_die from red to blue; nothing is carried along the bar, which is negligible beyond some
centimetres. Steady: minutes after switching on.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sim.circuit import RunUse
from sim.upkeep.rates import HeatRates, Rates


@dataclass(frozen=True)
class OwnWarming:
    """What a run is warmer than the air by [K], least and most."""

    run: str
    watts_per_m: float
    channel_k: tuple[float, float]  # the channel, and the strip in it
    led_k: tuple[float, float]  # the dies


def channel_k_per_w(heat: HeatRates, profile: str) -> tuple[float, float]:
    """R′ [K·m/W] of a mounting channel, least and most."""
    outline_mm = heat.outline_mm.get(profile) or heat.any_outline_mm
    low, high = (1 / (h * mm * 1e-3) for h, mm in zip(heat.w_m2k, outline_mm, strict=True))
    return min(low, high), max(low, high)


def own_warming(uses: Sequence[RunUse], rates: Rates) -> tuple[OwnWarming, ...]:
    """Every run while it takes the mean of what was looked at, at its supply's full voltage."""
    made = []
    for use in uses:
        run = use.run
        watts = use.mean_a * use.feed_v
        per_m, each = watts / max(run.length_m, run.pitch_m), watts / run.present
        least, most = (per_m * ohm for ohm in channel_k_per_w(rates.heat, run.profile.name))
        die = [each * ohm for ohm in rates.heat.die_k_per_w]
        made.append(OwnWarming(run.name, per_m, (least, most), (least + die[0], most + die[1])))
    return tuple(made)
