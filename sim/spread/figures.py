"""The figures of a scan, and what any draws make of them.

Peaks and least volts are those of the frames that come nearest to a limit. A mean over all frames
is the scan's own, times how the frames that stand for all differ from what they have as the sheets
say.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from layouts.records import CHANNELS
from sim.circuit.drawn import DrawnSolution, on_channels
from sim.scan import Scan

from .draws import Draws, flux_each
from .frames import ShownFrames
from .trials import Trials, of_draws
from .unknowns import Unknowns


@dataclass(frozen=True)
class Head:
    """Which figure of the report it is; section and key are those of its JSON."""

    section: str  # "" at its top
    index: int  # in the list of its section; −1 where that is no list
    key: str
    unit: str
    nominal: float  # what the report says
    whose: str = ""  # name of the supply, wire or run


class Figures:
    """How the figures of a scan follow from draws; its heads are known once."""

    def __init__(self, watched: Scan, frames: ShownFrames, known: Unknowns, lit_hours: float):
        self._watched, self._frames, self._known, self._hours = watched, frames, known, lit_hours
        # Of the frames that stand for all: what they have as the sheets say.
        self._sheet = of_draws(watched.rig.network, _sheet(known), self._even_codes)
        self.heads = self._heads()

    @property
    def _even_codes(self) -> np.ndarray:
        return self._frames.codes[len(self._frames.worst) :]

    def _heads(self) -> tuple[Head, ...]:
        watched, energy = self._watched, self._watched.energy
        total_a = watched.loads.run_a.sum(axis=1)
        made = [
            Head("", -1, "peak_a", "A", float(total_a.max())),
            Head("", -1, "mean_a", "A", float(total_a.mean())),
        ]
        for index, supply in enumerate(watched.supplies):
            name = supply.supply.name
            made.append(Head("supplies", index, "peak_a", "A", supply.peak_a, name))
            made.append(Head("supplies", index, "mean_a", "A", supply.mean_a, name))
        for index, wire in enumerate(watched.wires):
            name = wire.wire.label
            made.append(Head("wires", index, "peak_a", "A", wire.peak_a, name))
            made.append(Head("wires", index, "mean_a", "A", wire.mean_a, name))
        for index, run in enumerate(watched.runs):
            made.append(Head("runs", index, "peak_a", "A", run.peak_a, run.run.name))
            made.append(Head("runs", index, "min_v", "V", run.min_v, run.run.name))
        made.append(Head("energy", -1, "dc_w_mean", "W", energy.dc_w_mean))
        if watched.rig.house.supplies:
            kwh = (energy.day_kwh(self._hours) or 0.0) * 365
            made.append(Head("energy", -1, "wall_w_mean", "W", energy.wall_w_mean or 0.0))
            made.append(Head("energy", -1, "year_kwh", "kWh", kwh))
        lumens = float(self._lumens_of(_sheet(self._known), own_light=False)[0])
        made.append(Head("light", -1, "lumens_mean", "lm", lumens))
        return tuple(made)

    def of(self, drawn: Draws, *, own_light: bool = True) -> tuple[Trials, np.ndarray]:
        """The trials of all frames shown, and (D, heads).

        Without `own_light` all pixels of a reel give the same light.
        """
        rig, frames = self._watched.rig, self._frames
        sums = np.zeros((len(drawn), len(self._known.reels), len(self._known.house.channels)))
        found = of_draws(
            rig.network,
            drawn,
            frames.codes,
            supply_load=frames.supply_load,
            seen=self._adding(drawn, sums, len(frames.worst), own_light),
        )
        near, even = slice(0, len(frames.worst)), slice(len(frames.worst), None)
        total_a = found.run_a.sum(axis=2)
        loads, energy, sheet = self._watched.loads, self._watched.energy, self._sheet

        def mean(values: np.ndarray, nominal: np.ndarray, all_: np.ndarray | float) -> np.ndarray:
            """(D, …) of all frames."""
            below = nominal[0].mean(axis=0)
            with np.errstate(divide="ignore", invalid="ignore"):
                part = np.where(np.abs(below) > 1e-12, all_ / below, 0.0)
            return np.asarray(values[:, even].mean(axis=1) * part)

        supply_mean = mean(found.supply_a, sheet.supply_a, loads.supply_a.mean(axis=0))
        wire_mean = mean(found.wire_a, sheet.wire_a, np.abs(loads.wire_a).mean(axis=0))
        columns = [
            total_a[:, near].max(axis=1)[:, None],
            mean(total_a, sheet.run_a.sum(axis=2), loads.run_a.sum(axis=1).mean())[:, None],
            _woven(found.supply_a[:, near].max(axis=1), supply_mean),
            _woven(found.wire_a[:, near].max(axis=1), wire_mean),
            _woven(found.run_a[:, near].max(axis=1), found.run_v[:, near].min(axis=1)),
            mean(found.dc_w, sheet.dc_w, energy.dc_w_mean)[:, None],
        ]
        if rig.house.supplies:
            wall_w = mean(found.wall_w, sheet.wall_w, energy.wall_w_mean or 0.0)
            idle_kwh = (energy.idle_wall_w or 0.0) * (24 - self._hours)
            kwh = (wall_w * self._hours + idle_kwh) * 365 / 1000
            columns += [wall_w[:, None], kwh[:, None]]
        columns.append(self._lumens(drawn, sums)[:, None])
        return found, np.hstack(columns)

    def _lumens_of(self, drawn: Draws, own_light: bool) -> np.ndarray:
        """(D,) [lm] at the pixels, mean over the frames that stand for all."""
        sums = np.zeros((len(drawn), len(self._known.reels), len(self._known.house.channels)))
        seen = self._adding(drawn, sums, 0, own_light)
        load = self._frames.supply_load
        of_draws(self._watched.rig.network, drawn, self._even_codes, supply_load=load, seen=seen)
        return self._lumens(drawn, sums)

    def _lumens(self, drawn: Draws, sums: np.ndarray) -> np.ndarray:
        known = self._known
        lm = np.array([_channel_lm(known, index) for index in range(len(known.reels))])
        flux = np.stack(
            [drawn.of(f"flux_{c}", known.reels, 1.0) for c in known.house.channels], axis=2
        )
        even = max(1, len(self._frames.even))
        return np.asarray((sums * flux * lm).sum(axis=(1, 2)) / even)

    def _adding(
        self, drawn: Draws, sums: np.ndarray, first: int, own_light: bool
    ) -> Callable[[DrawnSolution], None]:
        """What adds the light of the frames from `first` on to `sums`."""
        from .light_kernel import reel_duties

        known, network = self._known, self._watched.rig.network
        pixels = known.house.pixels
        alike = np.ones((len(drawn), len(pixels), len(known.house.channels)))
        own = flux_each(drawn) if own_light else alike

        def seen(solved: DrawnSolution) -> None:
            reel_duties(
                network.law.table,  # that of all pixels: without supplies none is reached
                pixels.run.astype(np.int64),
                np.ascontiguousarray(known.reel_of[pixels.run]),
                solved.codes,
                np.ascontiguousarray(solved.shown[:, first:]),
                np.ascontiguousarray(solved.volts[:, first:]),
                np.ascontiguousarray(solved.drawn.times),
                np.ascontiguousarray(on_channels(network, solved.drawn.vf_add)),
                np.ascontiguousarray(own),
                sums,
            )

        return seen


def _sheet(known: Unknowns) -> Draws:
    """The one draw in which everything is as the sheets say."""
    return Draws(known, 0, 0, known.nominal[None], np.ones((1, len(known.house.pixels))))


def _channel_lm(known: Unknowns, reel: int) -> np.ndarray:
    """(channels,) [lm] of the channels of a pixel of a reel."""
    kind = known.house.runs[int(np.flatnonzero(known.reel_of == reel)[0])].kind
    lm = np.zeros(len(known.house.channels))
    for channel in kind.channels:
        lm[CHANNELS.index(channel.name)] = channel.flux_lm
    return lm


def _woven(first: np.ndarray, second: np.ndarray) -> np.ndarray:
    """(D, 2n): columns of one and the other in turn."""
    return np.stack([first, second], axis=2).reshape(len(first), -1)
