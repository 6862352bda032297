"""A house in cold and heat: copper, forward voltages, light by channel.

    R(T)  = R₂₀ · (1 + 0.00393·(T − 20))         copper (`layouts.copper`)
    VF(T) = VF₂₅ − k·(T − 25)                    k from the table, about 2 mV/K
    Φ(T)  = Φ₂₅ · exp(−(T − 25)/T₁)              T₁ 95 K for red, far more for green and blue

A kind's figures hold at 25 °C, and its own coefficients (`warm:`) come before the usual ones. T is
that of the parts; what LEDs warm themselves is `own_warming`. The controller knows nothing of T:
the codes are those of 25 °C, so that a white turns pink in the cold.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from layouts.change import change
from layouts.records import Channel, House, Kind
from sim.circuit import build
from sim.frame import Rig
from sim.upkeep.rates import ChannelRates, Rates

#: At which sheets give their figures [°C].
SHEET_C = 25.0

#: Forward voltage of one die [V]: red 2.0, green, blue and white 3.2 usual [from memory].
_DIE_V = {"r": 2.0, "g": 3.2, "b": 3.2, "w": 3.2, "c": 3.2}

End = Literal["least", "middle", "most"]


def flux_ratio(channel: str, celsius: float, rates: Rates, end: End = "middle") -> float:
    """Φ(T)/Φ(25 °C) of a channel: the middle of what T₁ can be, or the end with less or more light.

    The middle is the geometric one, as T₁ is a scale.
    """
    ratios = sorted(
        float(np.exp(-(celsius - SHEET_C) / t1)) for t1 in rates.of_channel(channel).t1_k
    )
    if end == "middle":
        t1 = float(np.sqrt(np.prod(rates.of_channel(channel).t1_k)))
        return float(np.exp(-(celsius - SHEET_C) / t1))
    return ratios[0] if end == "least" else ratios[1]


def forward_v(channel: str, volts: float, celsius: float, rates: Rates) -> float:
    """[V] of a die, or as many in series as `volts` is times its own."""
    return volts - rates.of_channel(channel).vf_mv_per_k * 1e-3 * (celsius - SHEET_C)


def dies_in_series(channel: Channel, kind: Kind) -> int:
    """How many dies its forward voltage goes over: of four LEDs in a pixel two, if twice in series.

    The LEDs of a pixel are wired alike, so it is a divisor of their number: the one by which a die
    has the voltage nearest to that of its colour.
    """
    count = kind.leds_per_pixel
    wired = [n for n in range(1, count + 1) if count % n == 0]
    return min(wired, key=lambda n: abs(channel.vf_v / n - _DIE_V[channel.name]))


def kind_at(kind: Kind, celsius: float, rates: Rates, end: End = "middle") -> Kind:
    """The kind as it is at a temperature [°C] of its own; what its sheet says comes first."""
    rates = of_kind(rates, kind)
    return replace(
        kind, channels=tuple(_channel_at(each, kind, celsius, rates, end) for each in kind.channels)
    )


def _channel_at(each: Channel, kind: Kind, celsius: float, rates: Rates, end: End) -> Channel:
    per_die = rates.of_channel(each.name)
    wave = each.dominant_nm
    if wave is not None:
        wave += float(np.mean(per_die.nm_per_k)) * (celsius - SHEET_C)
    return replace(
        each,
        vf_v=each.vf_v + dies_in_series(each, kind) * forward_v(each.name, 0.0, celsius, rates),
        flux_lm=each.flux_lm * flux_ratio(each.name, celsius, rates, end),
        dominant_nm=wave,
    )


def house_at(house: House, celsius: float, rates: Rates, end: End = "middle") -> House:
    """The house with its wiring and its pixels at a temperature [°C]."""
    kinds = {run.kind: kind_at(run.kind, celsius, rates, end) for run in house.runs}
    runs = {run.name: {"pixels": kinds[run.kind]} for run in house.runs}
    return change(house, temperature_c=celsius, runs=runs)


def rig_at(rig: Rig, celsius: float, rates: Rates, end: End = "middle") -> Rig:
    """The rig at a temperature [°C], sent the codes of 25 °C."""
    house = house_at(rig.house, celsius, rates, end)
    return Rig(house, build(house), rig.mixer)


@dataclass(frozen=True)
class ChannelThen:
    """A channel against its sheet; of all kinds that have it and say the same of it."""

    channel: str  # `r`, or `r of NAME` where kinds differ
    vf_v: float  # what is added to its forward voltage
    light: tuple[float, float]  # Φ/Φ(25 °C), least and most


def channels_at(house: House, celsius: float, rates: Rates) -> tuple[ChannelThen, ...]:
    """Every channel that the house has, against its sheet."""
    said: dict[str, dict[str, ChannelRates]] = {}
    for kind in dict.fromkeys(run.kind for run in house.runs):
        own = of_kind(rates, kind)
        for each in kind.channels:
            said.setdefault(each.name, {})[kind.name] = own.of_channel(each.name)
    made = []
    for name, by_kind in said.items():
        alike = all(own == next(iter(by_kind.values())) for own in by_kind.values())
        for kind_name, own_rates in list(by_kind.items())[: 1 if alike else None]:
            with_it = rates.model_copy(update={"channels": {**rates.channels, name: own_rates}})
            least, most = (flux_ratio(name, celsius, with_it, end) for end in ("least", "most"))
            label = name if alike else f"{name} of {kind_name}"
            made.append(ChannelThen(label, forward_v(name, 0.0, celsius, with_it), (least, most)))
    return tuple(made)


def of_kind(rates: Rates, kind: Kind) -> Rates:
    """The rates with what the sheet of a kind says of its own channels."""
    if not kind.warm:
        return rates
    channels: dict[str, ChannelRates] = dict(rates.channels)  # type: ignore[arg-type]
    for name, own in kind.warm.items():
        usual = rates.of_channel(name)
        channels[name] = ChannelRates(
            vf_mv_per_k=usual.vf_mv_per_k if own.vf_mv_per_k is None else own.vf_mv_per_k,
            t1_k=usual.t1_k if own.t1_k is None else list(own.t1_k),
            nm_per_k=usual.nm_per_k if own.nm_per_k is None else list(own.nm_per_k),
        )
    return rates.model_copy(update={"channels": channels})
