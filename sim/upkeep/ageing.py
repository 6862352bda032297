"""A house after some years: LEDs that fade, plastic that yellows, dirt.

What a pixel gives through its coat and its cover after y years is

    E(λ) · B·exp(−α·t) · τ_coat(λ) · τ_cover(λ) · (1 − dirt)^y

with t the hours lit. Rates are ranges; `end` picks the end of all of them with least or most light
left, or their middle. Currents stay as they are: the driver holds them.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from layouts.change import change
from layouts.records import CHANNELS, House, Kind, Run
from sim.colour import spectra
from sim.colour.emitters import emission
from sim.frame import Rig
from sim.upkeep.lifetime import Decay, capacitor_h
from sim.upkeep.rates import Rates
from sim.upkeep.weather import End
from sim.upkeep.yellowing import absorbance_of, chromaticity, transmittance

#: The profile without a cover.
_BARE = "bare"
#: Of every range, that with least and with most light left.
_ENDS: tuple[End, End] = ("least", "most")


@dataclass(frozen=True, eq=False)
class Aged:
    """A house after some years: its kinds fade, `through` says what colour their plastic has."""

    house: House
    through: Mapping[Kind, np.ndarray]  # (401,) of the light of each kind of the house


def ageing_rate(span: list[float], end: End) -> float:
    """One rate of a range: the most of it leaves the least light; the middle is the mean."""
    return {"least": span[1], "most": span[0], "middle": sum(span) / 2}[end]


def plastic(run: Run, years: float, rates: Rates, end: End = "middle") -> np.ndarray:
    """τ (401,) of coat and cover of a run after some years, 1 when new."""
    coat = absorbance_of(ageing_rate(rates.coat.yi_per_year, end) * years) * rates.coat.mm
    yi = ageing_rate(rates.cover.yi_per_year, end) * years if _has_cover(run) else 0.0
    return transmittance(coat + absorbance_of(yi))


def _has_cover(run: Run) -> bool:
    return run.profile.name != _BARE and run.profile.transmission < 1


def led_left(years: float, rates: Rates, end: End = "middle") -> float:
    """Share of its light that a die has left after some years."""
    alpha = ageing_rate(rates.led.alpha_per_mh, end) * 1e-6
    return float(Decay(alpha, rates.led.b).left(years * rates.led.hours_per_year))


def dirt_left(years: float, rates: Rates, end: End = "middle") -> float:
    """Share that gets through the dirt if nobody washes it."""
    return float((1 - ageing_rate(rates.dirt.share_per_year, end)) ** years)


def aged(house: House, years: float, rates: Rates, end: End = "middle") -> Aged:
    """The house after some years."""
    left = led_left(years, rates, end) * dirt_left(years, rates, end) if years > 0 else 1.0
    made: dict[str, Kind] = {}
    through: dict[Kind, np.ndarray] = {}
    for run in house.runs:
        # Runs of one kind behind different covers age apart: the note tells the kinds apart.
        covered = ", covered" if _has_cover(run) else ""
        kind = replace(
            run.kind,
            channels=tuple(replace(c, flux_lm=c.flux_lm * left) for c in run.kind.channels),
            note=f"{run.kind.note} after {years:g} years{covered}",
        )
        made[run.name] = kind
        if kind not in through:
            through[kind] = plastic(run, years, rates, end)
    runs = {name: {"pixels": kind} for name, kind in made.items()}
    return Aged(change(house, runs=runs), through)


def aged_rig(rig: Rig, years: float, rates: Rates, end: End = "middle") -> tuple[Rig, Aged]:
    """The rig after some years, sent the codes of today; the wiring is the same."""
    made = aged(rig.house, years, rates, end)
    return Rig(made.house, replace(rig.network, house=made.house), rig.mixer), made


@dataclass(frozen=True)
class ChannelAged:
    """A channel of a kind after some years, against its light of today."""

    channel: str  # "white" where all of r, g, b are on
    light: tuple[float, float]  # share left, least and most
    shift_uv: tuple[float, float]  # Δu'v' of its colour, at the same ends


def channels_aged(run: Run, years: float, rates: Rates) -> tuple[ChannelAged, ...]:
    """Every channel of a run's kind and all of them together, against today."""
    today = emission(run.kind)
    rows = [(c.name, today[CHANNELS.index(c.name)]) for c in run.kind.channels]
    rgb = [spectrum for name, spectrum in rows if name in "rgb"]
    if len(rgb) == 3:
        rows.append(("white", np.sum(rgb, axis=0)))
    ends = [
        (
            plastic(run, years, rates, end),
            led_left(years, rates, end) * dirt_left(years, rates, end),
        )
        for end in _ENDS
    ]
    made = []
    for name, was in rows:
        (least, most) = [was * through * left for through, left in ends]
        light, shift = ((figure(was, least), figure(was, most)) for figure in (_light, _shift))
        made.append(ChannelAged(name, light, shift))
    return tuple(made)


def coat_by_day(run: Run, years: float, rates: Rates, end: End = "middle") -> ChannelAged:
    """How the same plastic looks unlit by day, over something white: light goes through twice."""
    twice = plastic(run, years, rates, end) ** 2
    day = spectra.daylight()
    light, shift = _light(day, day * twice), _shift(day, day * twice)
    return ChannelAged("by day", (light, light), (shift, shift))


def _light(was: np.ndarray, now: np.ndarray) -> float:
    return float(spectra.xyz(now)[1] / spectra.xyz(was)[1])


def _shift(was: np.ndarray, now: np.ndarray) -> float:
    return float(np.linalg.norm(chromaticity(spectra.xyz(now)) - chromaticity(spectra.xyz(was))))


def supply_years(air_c: float, rates: Rates) -> float:
    """[years] that the capacitors of a supply last, lit every evening, at most the seals' life."""
    own = rates.capacitor
    hours = capacitor_h(own.hours, own.rated_c, air_c + own.warmer_by_k)
    return min(hours / max(rates.led.hours_per_year, 1e-9), own.most_years)
