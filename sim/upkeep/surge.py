"""Noise on the feeds, reckoned as far as it can be: inductance, dip, ripple, ground shift, clamps.

    L/l = μ₀/π · (arcosh(D / 2a) + 1/4)      a pair of round wires, radius a, D apart; the quarter
                                             is the field inside them
    ΔV  = ΔI · √(L / C)                      first dip of C fed through L when ΔI is switched on,
                                             without damping
    C   = L · (ΔI / ΔV)²                     what keeps it to ΔV

All channels of all pixels switched on at one instant is the worst there is: pixels have oscillators
of their own and seldom agree. The wires' resistance, left out here, makes dips smaller.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np

from layouts.files.document import read
from layouts.finding import Finding, Remedy, by_urgency
from layouts.records import House, Wire
from sim.circuit import Solution, build, solve
from sim.frame import plain_codes

_MU0 = 4e-7 * np.pi


@dataclass(frozen=True)
class FeedNoise:
    """One wire and what is switched at its end."""

    wire: Wire
    inductance_h: float
    step_a: float  # what all lit pixels together draw through it
    allowed_v: float  # what the run at its end has to spare, less the ripple
    dip_v: float  # with the pixels' own capacitors alone
    bulk_dip_v: float  # with the usual bulk capacitor too
    bulk_f: float | None  # what keeps the dip to the headroom; None where there is none


@dataclass(frozen=True)
class RunNoise:
    """One run with everything full."""

    run: str
    headroom_v: float  # least volts less the least its kind needs
    shift_v: float  # of its − against the supply's, most
    clamp_ma: float | None  # into its data input at a clamped surge; None: no resistor is known


@dataclass(frozen=True)
class Noise:
    """The house's noise and surge figures."""

    feeds: tuple[FeedNoise, ...]
    runs: tuple[RunNoise, ...]
    ripple_v: float
    shift_limit_v: float
    findings: tuple[Finding, ...]


@cache
def surge_table() -> dict[str, Any]:
    """The figures and the checklist, each row with its source."""
    made: dict[str, Any] = read(Path(__file__).with_name("surge.yaml")).data
    return made


def figure(name: str) -> float:
    """One figure of the table."""
    return float(surge_table()["figures"][name]["value"])


def pair_h_per_m(area_mm2: float, insulation_mm: float) -> float:
    """[H/m] of the loop of two round wires whose insulation touches."""
    radius_mm = np.sqrt(area_mm2 / np.pi)
    apart_mm = 2 * (radius_mm + insulation_mm)
    return float(_MU0 / np.pi * (np.arccosh(apart_mm / (2 * radius_mm)) + 0.25))


def dip_v(step_a: float, inductance_h: float, capacitance_f: float) -> float:
    """[V] of the first dip, without damping; infinite without capacitance."""
    if capacitance_f <= 0:
        return float("inf") if step_a > 0 else 0.0
    return float(step_a * np.sqrt(inductance_h / capacitance_f))


def noise(house: House) -> Noise:
    """Noise and surge figures of a house with every channel full at once."""
    codes = np.concatenate([plain_codes(house, level) for level in (255, 0)])
    both = solve(build(house), codes)
    runs = tuple(
        RunNoise(
            run.name,
            float(both.volts[0, run.pixels].min() - run.kind.min_v),
            float(np.abs(both.minus_v[0, run.pixels]).max()),
            _clamp_ma(house, run.name),
        )
        for run in house.runs
    )
    feeds = _feeds(house, both, runs)
    found = by_urgency([*_of_runs(runs), *_of_feeds(feeds)])
    return Noise(feeds, runs, figure("ripple_v"), figure("shift_v"), found)


def _feeds(house: House, both: Solution, runs: tuple[RunNoise, ...]) -> tuple[FeedNoise, ...]:
    """Every wire that ends on a run; `both` is everything full, then everything dark."""
    step = np.abs(both.wire_a[0] - both.wire_a[1])
    by_name = {each.run: each for each in runs}
    made = []
    for number, wire in enumerate(house.wires):
        end = next((each for each in (wire.end, wire.start) if each.kind == "run"), None)
        if end is None or step[number] < 1e-6:
            continue
        run = house.run(end.name)
        lit = (both.amps[0, run.pixels] - both.amps[1, run.pixels]).mean()
        pixel_f = figure("pixel_nf") * 1e-9 * step[number] / max(lit, 1e-9)
        length_h = pair_h_per_m(wire.size.area_mm2, figure("insulation_mm")) * wire.length_m
        allowed_v = by_name[run.name].headroom_v - figure("ripple_v") / 2
        bulk_f = length_h * (step[number] / allowed_v) ** 2 if allowed_v > 0 else None
        bulk_uf = figure("bulk_uf") * 1e-6
        made.append(
            FeedNoise(
                wire,
                length_h,
                float(step[number]),
                allowed_v,
                dip_v(step[number], length_h, pixel_f),
                dip_v(step[number], length_h, pixel_f + bulk_uf),
                None if bulk_f is None else float(bulk_f),
            )
        )
    return tuple(made)


def _clamp_ma(house: House, run: str) -> float | None:
    """[mA] into the data input of the first run of an output when its TVS clamps."""
    output = next((each for each in house.outputs if each.chain and each.chain[0] == run), None)
    if output is None or not output.series_ohm:
        return None
    # Data has 5 V at kinds of any voltage, and so has the TVS on it.
    over_v = figure("clamp_5_v") - (5.0 + figure("over_v"))
    return over_v / output.series_ohm * 1000


def _of_runs(runs: tuple[RunNoise, ...]) -> list[Finding]:
    found = []
    for each in runs:
        if each.shift_v > figure("shift_v"):
            found.append(
                Finding(
                    "warning",
                    "ground-shift",
                    each.run,
                    value=each.shift_v,
                    limit=figure("shift_v"),
                    unit="V",
                    remedies=(Remedy("thicker-wire", each.run), Remedy("add-feed", each.run)),
                )
            )
        if each.clamp_ma is not None and each.clamp_ma > figure("pin_ma"):
            found.append(
                Finding(
                    "note",
                    "clamp-current",
                    each.run,
                    value=each.clamp_ma,
                    limit=figure("pin_ma"),
                    unit="mA",
                )
            )
        if each.headroom_v < figure("ripple_v") / 2:
            found.append(
                Finding(
                    "warning",
                    "ripple-headroom",
                    each.run,
                    value=each.headroom_v,
                    limit=figure("ripple_v") / 2,
                    unit="V",
                    remedies=(Remedy("add-feed", each.run), Remedy("lower-brightness")),
                )
            )
    return found


def _of_feeds(feeds: tuple[FeedNoise, ...]) -> list[Finding]:
    found = []
    for each in feeds:
        if each.dip_v > each.allowed_v > 0:
            found.append(
                Finding(
                    "note",
                    "feed-dip",
                    each.wire.label,
                    value=each.dip_v,
                    limit=each.allowed_v,
                    unit="V",
                    remedies=(Remedy("add-capacitor", each.wire.label, each.bulk_f, "F"),),
                    detail={"uf": (each.bulk_f or 0.0) * 1e6},
                )
            )
    return found
