"""The pixel law: what a pixel draws, and how it dims, at the voltage it gets.

Average over the PWM period, v the voltage at the pixel, d_c the duty of channel c:

    parallel   i(v) = I_q·clip(v/V_min, 0, 1) + Σ_c d_c·I_c·clip((v − VF_c)/V_h, 0, 1)
    series     i(v) = I_q·clip(v/V_min, 0, 1) + max_c(d_c·I_c)·clip((v − ΣVF)/V_h, 0, 1)

The series law is the parallel law with one channel: the string of dies has one current, and the
channel lit longest decides how long it flows. So both are kept as *demand* [A] on four channels
with a forward voltage each, and every solver knows one law only.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from layouts.calibration import factors
from layouts.records import CHANNELS, House, Kind

if TYPE_CHECKING:
    from .kernel import LawTable


@dataclass(frozen=True, eq=False)
class Law:
    """The pixel law of every pixel of a house: K kinds, N pixels."""

    kinds: tuple[Kind, ...]
    kind: np.ndarray  # (N,) index into the tables below
    idle_a: np.ndarray  # (K,) [A]
    min_v: np.ndarray  # (K,) [V]
    amps: np.ndarray  # (K, 4) [A] of each channel at full duty
    vf_v: np.ndarray  # (K, 4) [V]; ΣVF on every channel of a series kind
    headroom_v: np.ndarray  # (K,) [V]
    series: np.ndarray  # (K,) bool
    full_v: np.ndarray  # (K,) [V] from here up the pixel draws and shines in full

    @cached_property
    def table(self) -> LawTable:
        """The law as the compiled core reads it."""
        return table_of(self, None)


def table_of(law: Law, live: np.ndarray | None) -> LawTable:
    """The law as the compiled core reads it; pixels that are not `live` (N,) bool draw nothing.

    They are one more kind, which wants no voltage and takes no current.
    """
    from .kernel import LawTable

    last = np.where(law.amps > 0, np.arange(1, len(CHANNELS) + 1), 1).max(axis=1)
    made = LawTable(
        law.kind,
        law.idle_a,
        law.min_v,
        law.full_v,
        law.amps / 255,
        law.vf_v,
        law.headroom_v,
        np.where(law.series, 1, last),
        law.series,
    )
    if live is None:
        return made
    nothing = (0.0, 1.0, -np.inf, np.zeros(4), np.zeros(4), 1.0, 1, False)
    rows = [np.concatenate([old, [new]]) for old, new in zip(made[1:], nothing, strict=True)]
    return LawTable(np.where(live, law.kind, len(law.idle_a)), *rows)


def law(house: House) -> Law:
    """The law of every pixel of `house`; kinds are told apart by value, not by name.

    Where a pixel is cut out nothing is drawn. Where a meter found other currents than the sheet's
    (`layouts.calibration`), those count; runs of one kind measured apart are rows of their own.
    """
    each_run = [(run.kind, factors(house, run)) for run in house.runs]
    rows = [row for number, row in enumerate(each_run) if row not in each_run[:number]]
    of_run = np.array([rows.index(row) for row in each_run], dtype=np.int64)
    kinds = [kind for kind, _ in rows]
    times = np.array([measured for _, measured in rows])
    amps = np.zeros((len(kinds), len(CHANNELS)))
    vf = np.zeros_like(amps)
    for row, kind in enumerate(kinds):
        for channel in kind.channels:
            column = CHANNELS.index(channel.name)
            amps[row, column] = channel.current_ma / 1000 * times[row, 1 + column]
            vf[row, column] = channel.vf_v
        if kind.law == "series":
            vf[row] = vf[row].sum()
    headroom = np.array([kind.headroom_v for kind in kinds])
    min_v = np.array([kind.min_v for kind in kinds])
    made = Law(
        kinds=tuple(kinds),
        kind=of_run[house.pixels.run],
        idle_a=np.array([kind.idle_ma / 1000 for kind in kinds]) * times[:, 0],
        min_v=min_v,
        amps=amps,
        vf_v=vf,
        headroom_v=headroom,
        series=np.array([kind.law == "series" for kind in kinds]),
        full_v=np.maximum(min_v, vf.max(axis=1) + headroom),
    )
    if not any(run.missing for run in house.runs):
        return made
    return without_pixels(made, ~np.concatenate([run.has_pixel for run in house.runs]))


def without_pixels(law: Law, gone: np.ndarray) -> Law:
    """The law where the pixels `gone` (N,) bool draw nothing and give no light."""
    return Law(
        kinds=law.kinds,
        kind=np.where(gone, len(law.idle_a), law.kind),
        idle_a=np.append(law.idle_a, 0.0),
        min_v=np.append(law.min_v, 1.0),
        amps=np.vstack([law.amps, np.zeros(len(CHANNELS))]),
        # no voltage lights it, and none is too low for it
        vf_v=np.vstack([law.vf_v, np.full(len(CHANNELS), np.inf)]),
        headroom_v=np.append(law.headroom_v, 1.0),
        series=np.append(law.series, False),
        full_v=np.append(law.full_v, -np.inf),
    )


def demand_a(law: Law, codes: np.ndarray) -> np.ndarray:
    """What the channels draw with enough voltage: codes (…, N, 4) → (…, N, 4) [A].

    A series pixel has its whole demand on the first channel.
    """
    demand = codes * (law.amps[law.kind] / 255)
    series = law.series[law.kind]
    if series.any():
        strongest = demand.max(axis=-1)
        demand = np.where(series[:, None], 0.0, demand)
        demand[..., 0] = np.where(series, strongest, demand[..., 0])
    return demand


def dim(law: Law, volts: np.ndarray, pixels: slice = slice(None)) -> np.ndarray:
    """The factor 0..1 by which the voltage dims each channel: (…, N) [V] → (…, N, 4).

    `pixels` picks some of the N.
    """
    kind = law.kind[pixels]
    above = volts[..., pixels, None] - law.vf_v[kind]
    return np.clip(above / law.headroom_v[kind, None], 0.0, 1.0)


def draw_a(law: Law, demand: np.ndarray, volts: np.ndarray) -> np.ndarray:
    """i(v) of every pixel: demand (…, N, 4) [A], volts (…, N) [V] → (…, N) [A]."""
    idle = law.idle_a[law.kind] * np.clip(volts / law.min_v[law.kind], 0.0, 1.0)
    return idle + (demand * dim(law, volts)).sum(axis=-1)


def nameplate_a(law: Law) -> np.ndarray:
    """(N,) [A] of every pixel with every channel full, at full voltage."""
    full = np.full((len(law.kind), len(CHANNELS)), 255)
    return demand_a(law, full).sum(axis=-1) + law.idle_a[law.kind]
