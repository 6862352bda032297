"""The pixel law: what a pixel draws, and how it dims, at the voltage it gets.

Average over the PWM period, v the voltage at the pixel, d_c the duty of channel c:

    parallel   i(v) = I_q·clip(v/V_min, 0, 1) + Σ_c d_c·I_c·clip((v − VF_c)/V_h, 0, 1)
    series     i(v) = I_q·clip(v/V_min, 0, 1) + max_c(d_c·I_c)·clip((v − ΣVF)/V_h, 0, 1)
    staggered  the same with min(max_c I_c, Σ_c d_c·I_c): current flows while any channel is on
    resistor   i(v) = I_q·clip(v/V_min, 0, 1) + Σ_c d_c·min(I_c, max(0, v − VF_c − V_h)/R_c)
    regulator  the parallel law with VF_c + V_do, and I_q of the regulator added: a linear one
               passes on what its node draws. A step-down one draws less the more it is fed with,

               i(v) = I_r + i₅·min(1, V_s/v)     i₅ = I_q + Σ_c d_c·I_c,  V_s = V₅/η

               and below V_s/v = 1 it only switches through: no input current is larger than what
               it gives.

I_q is a resistor's where the logic is fed through one: I_q·max(0, v − 5)/(V − 5).

All of them are *demand* [A] on as many channels as the house has, each with a forward voltage, a
headroom and a most:
demand·clip((v − VF)/V_h, 0, most). A series pixel has one channel: the string of dies has one
current, and the channel lit longest (staggered: all of them together) decides how long it flows.
A resistor is a headroom that no driver ends: I_n·R_c with I_n the current at the nominal voltage,
which is what such a node is called by; most is how much more its driver lets through. What a
step-down regulator draws less is apart (`Law.eased_v`): it falls with voltage, all else rises.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from layouts.calibration import factors
from layouts.catalogue import limits
from layouts.records import CHANNELS, Channel, House, Kind, channels_of

if TYPE_CHECKING:
    from .law_table import LawTable

#: [V] of the logic of a part that makes its own.
LOGIC_V = 5.0
#: More than any supply is above its nominal voltage.
_ENDLESS = 10.0
#: How one current through all dies follows from what each asks.
APART, LONGEST, TOGETHER = 0, 1, 2
_ONE_CURRENT = {"series": LONGEST, "staggered": TOGETHER}


@dataclass(frozen=True, eq=False)
class Law:
    """The pixel law of every pixel of a house: K kinds, N pixels, C channels."""

    kinds: tuple[Kind, ...]
    kind: np.ndarray  # (N,) index into the tables below
    idle_a: np.ndarray  # (K,) [A]
    min_v: np.ndarray  # (K,) [V]
    idle_v: np.ndarray  # (K, 3) [V] where the idle current begins, over how much it comes; its most
    amps: np.ndarray  # (K, C) [A] of each channel at full duty
    vf_v: np.ndarray  # (K, C) [V]; ΣVF on every channel of a series kind
    headroom_v: np.ndarray  # (K, C) [V]
    most: np.ndarray  # (K, C) how much of `amps` and light there can be; 1 but with resistors
    one_current: np.ndarray  # (K,) int: APART, LONGEST or TOGETHER
    need_v: np.ndarray  # (K, C) [V] from which a channel counts as full
    full_v: np.ndarray  # (K,) [V] from here up the pixel counts as shining in full
    flat_v: np.ndarray  # (K,) [V] from here up its current and light do not rise any more
    eased_v: np.ndarray  # (K,) [V] from here up a step-down regulator draws less; 0: has none
    regulator_a: np.ndarray  # (K,) [A] of `idle_a`, that of its regulator

    @property
    def falls(self) -> bool:
        """Whether any pixel draws less the more voltage it gets."""
        return bool(self.eased_v.any())

    @property
    def channels(self) -> int:
        """C, the last axis of codes and dimming."""
        return int(self.amps.shape[1])

    @property
    def nominal_v(self) -> np.ndarray:
        """(N,) [V] of the supply each pixel is made for; 1 where there is no pixel."""
        made_for = np.ones(len(self.idle_a))
        made_for[: len(self.kinds)] = [kind.supply_v for kind in self.kinds]
        return np.asarray(made_for[self.kind])

    @cached_property
    def table(self) -> LawTable:
        """The law as the compiled core reads it."""
        from .law_table import LawTable, each_kind

        last = np.where(self.amps > 0, np.arange(1, self.channels + 1), 1).max(axis=1)
        return LawTable(
            self.kind,
            self.idle_a,
            self.idle_v,
            self.flat_v,
            self.amps / 255,
            self.vf_v,
            self.headroom_v,
            self.most,
            np.where(self.one_current != APART, 1, last),
            self.one_current,
            each_kind(
                *(self.idle_a, self.idle_v, self.flat_v, self.one_current, self.amps / 255),
                *(self.vf_v, self.headroom_v, self.most),
            ),
        )


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
    shape = (len(kinds), len(channels_of(kinds)))
    amps, vf, headroom, most = np.zeros(shape), np.zeros(shape), np.ones(shape), np.ones(shape)
    for row, kind in enumerate(kinds):
        headroom[row] = kind.headroom_v
        for channel in kind.channels:
            column = CHANNELS.index(channel.name)
            nominal_a, at = _channel(kind, channel)
            amps[row, column] = nominal_a * times[row, 1 + column]
            vf[row, column], headroom[row, column], most[row, column] = at
        if kind.law in _ONE_CURRENT:
            vf[row] = vf[row].sum()
    one_current = np.array([_ONE_CURRENT.get(kind.law, APART) for kind in kinds])
    min_v = np.array([kind.min_v for kind in kinds])
    # A resistor before the logic takes what is above its 5 V, and never ends to.
    idle_v = np.array(
        [
            (LOGIC_V, kind.supply_v - LOGIC_V, _ENDLESS) if kind.idle_resistor
            else (0.0, kind.min_v, 1.0)
            for kind in kinds
        ]
    )  # fmt: skip
    # With resistors light goes with every volt: it counts as full where the drop is in bounds.
    nominal_v = np.array([kind.supply_v for kind in kinds])
    resists = np.array([kind.law == "resistor" for kind in kinds])
    enough_v = np.where(resists, (1 - limits().drop_warning) * nominal_v, np.inf)
    need_v = np.where(amps > 0, np.minimum(vf + headroom, enough_v[:, None]), 0.0)
    regulators = [kind.regulator for kind in kinds]
    own_a = np.array([0.0 if each is None else each.own_ma / 1000 for each in regulators])
    made = Law(
        kinds=tuple(kinds),
        kind=of_run[house.pixels.run],
        idle_a=np.array([kind.idle_ma / 1000 for kind in kinds]) * times[:, 0] + own_a,
        min_v=min_v,
        idle_v=idle_v,
        amps=amps,
        vf_v=vf,
        headroom_v=headroom,
        most=most,
        one_current=one_current,
        need_v=need_v,
        full_v=np.maximum(min_v, need_v.max(axis=1)),
        flat_v=np.maximum((vf + most * headroom).max(axis=1), idle_v[:, 0] + idle_v[:, 1:].prod(1)),
        eased_v=np.array(
            [
                0.0 if each is None or each.efficiency is None else each.gives_v / each.efficiency
                for each in regulators
            ]
        ),
        regulator_a=own_a,
    )
    if not any(run.missing for run in house.runs):
        return made
    return without_pixels(made, ~house.has_pixel)


def _channel(kind: Kind, channel: Channel) -> tuple[float, tuple[float, float, float]]:
    """[A] at the nominal voltage; forward voltage [V], headroom [V] and most as in `Law`."""
    full_a = channel.current_ma / 1000
    if kind.law == "resistor":
        ohm = channel.resistor_ohm or kind.resistor_ohm or 0.0  # the reader refuses none at all
        vf_v = channel.vf_v + kind.headroom_v
        nominal_a = min(full_a, (kind.supply_v - vf_v) / ohm)
        return nominal_a, (vf_v, nominal_a * ohm, full_a / nominal_a)
    lost_v = 0.0 if kind.regulator is None else kind.regulator.dropout_v
    return full_a, (channel.vf_v + lost_v, kind.headroom_v, 1.0)


def without_pixels(law: Law, gone: np.ndarray) -> Law:
    """The law where the pixels `gone` (N,) bool draw nothing and give no light."""
    none = np.zeros(law.channels)
    return Law(
        kinds=law.kinds,
        kind=np.where(gone, len(law.idle_a), law.kind),
        idle_a=np.append(law.idle_a, 0.0),
        min_v=np.append(law.min_v, 1.0),
        idle_v=np.vstack([law.idle_v, (0.0, 1.0, 1.0)]),
        amps=np.vstack([law.amps, none]),
        # no voltage lights it, and none is too low for it
        vf_v=np.vstack([law.vf_v, none + np.inf]),
        headroom_v=np.vstack([law.headroom_v, none + 1.0]),
        most=np.vstack([law.most, none + 1.0]),
        one_current=np.append(law.one_current, APART),
        need_v=np.vstack([law.need_v, none]),
        full_v=np.append(law.full_v, -np.inf),
        flat_v=np.append(law.flat_v, -np.inf),
        eased_v=np.append(law.eased_v, 0.0),
        regulator_a=np.append(law.regulator_a, 0.0),
    )


def demand_a(law: Law, codes: np.ndarray) -> np.ndarray:
    """What the channels draw with enough voltage: codes (…, N, C) → (…, N, C) [A].

    A series pixel has its whole demand on the first channel.
    """
    demand = codes * (law.amps[law.kind] / 255)
    how = law.one_current[law.kind]
    if how.any():
        longest = demand.max(axis=-1)
        together = np.minimum(demand.sum(axis=-1), law.amps[law.kind].max(axis=-1))
        demand = np.where((how != APART)[:, None], 0.0, demand)
        demand[..., 0] = np.where(how == LONGEST, longest, demand[..., 0])
        demand[..., 0] = np.where(how == TOGETHER, together, demand[..., 0])
    return demand


def dim(law: Law, volts: np.ndarray, pixels: slice = slice(None)) -> np.ndarray:
    """The factor by which the voltage dims each channel: (…, N) [V] → (…, N, C).

    0..1; with resistors 1 is the light at the nominal voltage, and more than that gives more.
    `pixels` picks some of the N.
    """
    kind = law.kind[pixels]
    above = volts[..., pixels, None] - law.vf_v[kind]
    return np.clip(above / law.headroom_v[kind], 0.0, law.most[kind])


def eased_a(law: Law, full_a: np.ndarray, volts: np.ndarray) -> np.ndarray:
    """[A] that step-down regulators draw less: full_a (…, N) [A] that they would pass on."""
    with np.errstate(divide="ignore", invalid="ignore"):
        share = np.minimum(1.0, law.eased_v[law.kind] / np.maximum(volts, 0.0))
    has_one = law.eased_v[law.kind] > 0
    return np.where(has_one, (full_a - law.regulator_a[law.kind]) * (1.0 - share), 0.0)


def draw_a(law: Law, demand: np.ndarray, volts: np.ndarray) -> np.ndarray:
    """i(v) of every pixel: demand (…, N, C) [A], volts (…, N) [V] → (…, N) [A]."""
    begin_v, over_v, most = law.idle_v[law.kind].T
    idle = law.idle_a[law.kind] * np.clip((volts - begin_v) / over_v, 0.0, most)
    drawn = idle + (demand * dim(law, volts)).sum(axis=-1)
    if law.falls:
        drawn -= eased_a(law, law.idle_a[law.kind] + demand.sum(axis=-1), volts)
    return np.asarray(drawn)


def nameplate_a(law: Law) -> np.ndarray:
    """(N,) [A] of every pixel with every channel full, at its nominal voltage."""
    full = np.full((len(law.kind), law.channels), 255)
    plate = demand_a(law, full).sum(axis=-1) + law.idle_a[law.kind]
    if law.falls:
        plate = plate - eased_a(law, plate, law.nominal_v)
    return np.asarray(plate)
