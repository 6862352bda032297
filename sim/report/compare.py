"""The same scheme on several kinds of pixel: light, current, white, materials, price.

Every kind gets the same house: the same metres of every run, the same wires. What had to change
beside the kind is said (`sim.report.other_kind`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from effects import Scheme, bind
from layouts.addresses import addresses, frame_time_s
from layouts.errors import EvenfallError
from layouts.files.names import did_you_mean
from layouts.records import House, Kind
from sim.colour import emission_xyz_lm, mixer
from sim.frame import Rig, frame, rig_for
from sim.report.colour_losses import ColourLosses, colour_losses, looks
from sim.report.compare_spread import ComparedSpread, compared_spread
from sim.report.other_kind import of_kind
from sim.report.power import PowerReport, power_report
from sim.report.prices import Prices
from sim.report.white import AskedWhite, WhiteQuality, asked_white, white_quality
from sim.scan import Progress

#: Frames that are lit at a time.
_BLOCK = 25


@dataclass(frozen=True, eq=False)
class KindReport:
    """A scheme on a house whose runs are of one kind, but for what stays as it is."""

    kind: Kind
    rig: Rig
    notes: tuple[str, ...]  # what of the house had to change for this kind
    power: PowerReport
    lumens: float  # mean over the frames, at the pixels: before covers and walls
    lumens_peak: float
    brightest_s: float  # when that is
    losses: ColourLosses
    white: WhiteQuality
    frame_s: float  # on the data line, of the longest output
    universes: int  # that the pixels fill; 0 where the outputs name none
    price: float | None

    @property
    def pixels(self) -> int:
        """Of the whole house."""
        return self.rig.house.present

    @property
    def metres(self) -> float:
        """Of all runs, as their pixels cover them [m]."""
        return sum(run.count * run.pitch_m for run in self.rig.house.runs)

    @property
    def refresh_hz(self) -> float:
        """Most frames a second that the longest output can carry."""
        return 1.0 / self.frame_s

    @property
    def peak_a(self) -> float:
        """Largest current of the whole house in one frame [A]."""
        return float(self.power.scan.loads.run_a.sum(axis=1).max())

    @property
    def watts(self) -> float:
        """Mean DC watts of the whole house."""
        return self.power.scan.energy.dc_w_mean

    @property
    def suffices(self) -> bool | None:
        """Whether supplies and feeds carry the scheme at its brightness; None without supplies."""
        if self.power.ceiling is None:
            return None
        return self.power.ceiling.brightness >= self.power.scan.brightness


@dataclass(frozen=True, eq=False)
class Comparison:
    """Several kinds side by side."""

    house: House
    scheme: Scheme
    asked: AskedWhite
    kinds: tuple[KindReport, ...]
    prices: Prices | None
    drawn: ComparedSpread | None = None  # of many draws of the parts, where they were asked for

    @cached_property
    def sure(self) -> ComparedSpread | None:
        """Bands of all kinds; None where parts a little off do not work."""
        if self.drawn is not None:
            return self.drawn
        try:
            return compared_spread(self.kinds)
        except EvenfallError:
            return None


def chosen(names: Sequence[str], offered: Mapping[str, Kind]) -> tuple[Kind, ...]:
    """The kinds of these names; raises EvenfallError for fewer than two, twice one, unknown."""
    if len(set(names)) < 2:
        raise EvenfallError("compare needs two kinds or more; write --kinds A B, with spaces")
    if len(set(names)) < len(names):
        raise EvenfallError(f"a kind is named twice: {', '.join(names)}; name each once")
    unknown = [name for name in names if name not in offered]
    if unknown:
        hints = "; ".join(
            f"unknown kind '{name}'; {did_you_mean(name, offered)}" for name in unknown
        )
        raise EvenfallError(hints)
    return tuple(offered[name] for name in names)


def compare(
    house: House,
    scheme: Scheme,
    kinds: Sequence[Kind],
    *,
    prices: Prices | None = None,
    seconds: float | None = None,
    progress: Progress | None = None,
) -> Comparison:
    """`scheme` on `house` with its runs of each of `kinds` in turn, on the same metres.

    `seconds` [s] replaces one period, as in `power`. `progress(done, total)` counts frames.
    Raises EvenfallError for a kind whose colours cannot be mixed.
    """
    show = bind(house, scheme)
    asked = asked_white(show, looks(show, seconds), scheme.brightness)
    reports = []
    for index, kind in enumerate(kinds):

        def counted(done: float, total: float, index: int = index) -> None:
            if progress:
                progress(index * total + done, len(kinds) * total)

        changed, notes = of_kind(house, kind)
        reports.append(_report(changed, scheme, kind, notes, asked, prices, seconds, counted))
    return Comparison(house, scheme, asked, tuple(reports), prices)


def _report(
    house: House,
    scheme: Scheme,
    kind: Kind,
    notes: tuple[str, ...],
    asked: AskedWhite,
    prices: Prices | None,
    seconds: float | None,
    progress: Progress,
) -> KindReport:
    rig, show = rig_for(house, scheme), bind(house, scheme)
    power = power_report(rig, show, seconds=seconds, progress=progress)
    times = looks(show, power.scan.seconds)
    each = np.concatenate(
        [
            lumens_of(house, frame(rig, show, times[start : start + _BLOCK]).light)
            for start in range(0, len(times), _BLOCK)
        ]
    )
    matched = rig.mixer if scheme.colour == "matched" else mixer(house, white=scheme.white)
    return KindReport(
        kind=kind,
        rig=rig,
        notes=notes,
        power=power,
        lumens=float(each.mean()),
        lumens_peak=float(each.max()),
        brightest_s=float(times[each.argmax()]),
        losses=colour_losses(rig.mixer, show, times),
        white=white_quality(kind, matched, asked, house, scheme.dither),
        frame_s=longest_frame_s(house),
        universes=int(np.count_nonzero(np.unique(addresses(house).universe))),
        price=prices.of(house) if prices else None,
    )


def lumens_of(house: House, light: np.ndarray) -> np.ndarray:
    """(T,) [lm] at the pixels, before covers and walls, of `light` (T, N, C)."""
    per_run = np.array([emission_xyz_lm(run.kind, house.channels)[:, 1] for run in house.runs])
    return np.einsum("tnc,nc->t", light, per_run[house.pixels.run])


def longest_frame_s(house: House) -> float:
    """[s] that a frame takes on the data line of the longest output."""
    chains = [[house.run(name) for name in output.chain] for output in house.outputs]
    return max(frame_time_s(chain) for chain in chains or [[run] for run in house.runs])
