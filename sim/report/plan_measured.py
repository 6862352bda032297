"""What a planned house does: amperes, watts, energy, light, white, data and repairs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from layouts.finding import Finding
from layouts.records import House, Kind
from sim.circuit import Energy, energy, loads
from sim.colour import mixer
from sim.frame import frame, frame_of, rig
from sim.parts import Parts
from sim.report.colour_losses import looks
from sim.report.compare import longest_frame_s, lumens_of
from sim.report.power_text import EVENING_H
from sim.report.white import WhiteQuality, asked_white, white_quality, white_stand_in
from sim.scan import Scan
from sim.season import YearPlan, bill, measure

#: Frames that are lit at a time.
_BLOCK = 25


@dataclass(frozen=True)
class Repair:
    """What putting one pixel right takes."""

    how: str
    minutes: float | None  # None: the parts file says nothing of it

    @property
    def said(self) -> str:
        """In words."""
        return self.how if self.minutes is None else f"{self.how}, {self.minutes:g} min"


@dataclass(frozen=True, eq=False)
class Measured:
    """A wired house at its load. Means are over all schemes, each as long as it is looked at."""

    peak_a: float  # [A] of the whole house, the most of any scheme
    watts: float  # mean DC [W]
    wall_w: float  # mean from the mains [W]
    idle_wall_w: float  # the same, every pixel dark but switched on
    kwh_year: float
    evening_h: float | None  # lit every evening; None: as the season has it
    lumens: float  # mean, at the pixels
    lumens_peak: float
    white: WhiteQuality
    refresh_hz: float
    light: np.ndarray  # (N, C) of the brightest instant of the first scheme
    findings: tuple[Finding, ...]  # what watching every frame finds, above notes


def repair_of(kind: Kind, parts: Parts) -> Repair:
    """A pixel of a strip is cut out and two joints soldered; a node of a string is swapped."""
    if kind.mount == "string":
        return Repair("swap a node", None)
    minutes = 2 * parts.work.joint_min
    return Repair("cut and solder", minutes or None)


def measured(
    house: House,
    kind: Kind,
    watched: Sequence[Scan],
    codes: np.ndarray,
    level: float,
    season: YearPlan | None = None,
) -> Measured:
    """The wired `house` as `watched`; without a scan at `codes` (F, N, C) of brightness `level`.

    Its runs are of `kind`, but for those that stay as they are.
    """
    each = [_shown(house, scan) for scan in watched] or [_full(house, codes)]
    white = _white(house, kind, watched[0] if watched else None, level)
    return Measured(
        peak_a=max(one.peak_a for one in each),
        watts=float(np.mean([one.energy.dc_w_mean for one in each])),
        wall_w=float(np.mean([one.energy.wall_w_mean or 0.0 for one in each])),
        idle_wall_w=float(np.mean([one.energy.idle_wall_w or 0.0 for one in each])),
        kwh_year=_kwh(house, season, each),
        evening_h=EVENING_H if season is None else None,
        lumens=float(np.mean([one.lumens for one in each])),
        lumens_peak=max(one.lumens_peak for one in each),
        white=white,
        refresh_hz=1.0 / longest_frame_s(house),
        light=each[0].light,
        findings=tuple(found for one in each for found in one.findings),
    )


@dataclass(frozen=True, eq=False)
class _Seen:
    """One scheme, or one frame, on a house with supplies: its energy is known."""

    peak_a: float
    energy: Energy
    lumens: float
    lumens_peak: float
    light: np.ndarray
    findings: tuple[Finding, ...]


def _shown(house: House, watched: Scan) -> _Seen:
    made, show = watched.rig, watched.show
    times = looks(show, watched.seconds)
    lumens = np.concatenate(
        [
            lumens_of(house, frame(made, show, times[at : at + _BLOCK]).light)
            for at in range(0, len(times), _BLOCK)
        ]
    )
    return _Seen(
        peak_a=float(watched.loads.run_a.sum(axis=1).max()),
        energy=watched.energy,
        lumens=float(lumens.mean()),
        lumens_peak=float(lumens.max()),
        light=frame(made, show, float(times[lumens.argmax()])).light,
        findings=tuple(one for one in watched.load_findings if one.level != "note"),
    )


def _full(house: House, codes: np.ndarray) -> _Seen:
    made = rig(house)
    lit = frame_of(made, codes)
    network = made.network
    seen = loads(network, codes)
    dark = loads(network, np.zeros((1, *codes.shape[1:]), np.uint8))
    lumens = lumens_of(house, lit.light)
    return _Seen(
        peak_a=float(seen.run_a.sum(axis=1).max()),
        energy=energy(network, seen, dark),
        lumens=float(lumens.mean()),
        lumens_peak=float(lumens.max()),
        light=lit.light[int(lumens.argmax())],
        findings=(),
    )


def _white(house: House, kind: Kind, watched: Scan | None, level: float) -> WhiteQuality:
    if watched is None:
        return white_quality(kind, mixer(house), white_stand_in(level), house)
    show, scheme = watched.show, watched.show.scheme
    mixed = watched.rig.mixer
    matched = mixed if scheme.colour == "matched" else mixer(house, white=scheme.white)
    asked = asked_white(show, looks(show, watched.seconds), scheme.brightness)
    return white_quality(kind, matched, asked, house, scheme.dither)


def _kwh(house: House, season: YearPlan | None, each: Sequence[_Seen]) -> float:
    """[kWh] a year: as the season lights it, else lit some hours every evening, never off."""
    if season is not None:
        return bill(season, measure(house, season.season).watts).year.kwh
    return 365 * float(np.mean([one.energy.day_kwh(EVENING_H) or 0.0 for one in each]))
